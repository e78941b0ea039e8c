"""The part of a chord symbol after its root, read token by token into chord tones and tensions.

Which spellings are taken as the same is told in `handgroove.harmony.symbols.chord_text`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

_TOKENS = re.compile(
    r"""
    (?P<skip>[(),\s]|/(?=[b#+-]?\d))
  | (?P<sixnine>6/9|6,9|69|6add9)
  | (?P<sus>[Ss]us(?P<sus_kind>2sus4|4sus2|2/?4|42|2|4|7|9|13)?)
  | (?P<add>add\(?(?P<add_alter>[b#+-]?)(?P<add_degree>13|11|9|6|4|2))
  | (?P<omit>(?:omit|no)\.?(?P<omitted>[35])(?:rd|th)?)
  | (?P<alt>alt(?:ered)?)
  | (?P<half>ø|Ø|hdim|half-?dim(?:inished)?|h(?=7))
  | (?P<dim>dim(?:inished)?|[°ºo](?!mit))
  | (?P<aug>aug(?:mented)?)
  | (?P<dom>dom(?:inant)?)
  | (?P<delta>[Δ∆△^])
  | (?P<major>[Mm]ajor|MAJ|[Mm]aj|MA|[Mm]a(?!dd)|M(?!i|IN)|j)
  | (?P<minor>[Mm]inor|MIN|[Mm]in|MI|[Mm]i|m)
  | (?P<alter>(?P<sign>bb|b|\#|\+|-|–|−)(?P<alter_degree>13|11|10|9|7|6|5|4|3|2))
  | (?P<plus>\+)
  | (?P<minus>[-–−])
  | (?P<number>13|11|9|7|6|5|4|2)
    """,
    re.VERBOSE,
)
_MAJOR_STEP = {2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 11, 9: 2, 10: 4, 11: 5, 13: 9}
_SIGN = {"": 0, "b": -1, "-": -1, "–": -1, "−": -1, "#": 1, "+": 1, "bb": -2}
_SUS = {"2": (2,), "2sus4": (2, 5), "4sus2": (2, 5), "24": (2, 5), "2/4": (2, 5), "42": (2, 5)}


@dataclass(slots=True)
class _Draft:
    """A chord while its symbol is being read."""

    third: int | None = 4
    fifth: int | None = 7
    seventh: int | None = None
    sixth: bool = False
    sus: tuple[int, ...] = ()
    major_seventh: bool = False
    delta: bool = False
    diminished: bool = False
    numbered: bool = False
    implied: set[int] = field(default_factory=set)  # degrees that the number stacks
    tensions: dict[int, set[int]] = field(default_factory=dict)  # degree -> semitones

    def add(self, degree: int, alter: int = 0) -> None:
        """Add the note *degree*, raised by *alter*."""
        degree = {2: 9, 4: 11, 6: 13}.get(degree, degree)
        self.tensions.setdefault(degree, set()).add((_MAJOR_STEP[degree] + alter) % 12)

    def stack(self, top: int) -> None:
        """Stack thirds up to *top* (7, 9, 11 or 13)."""
        self.numbered = True
        self.seventh = 11 if self.major_seventh else 9 if self.diminished and self.third == 3 else 10
        self.implied = {degree for degree in (9, 11, 13) if degree <= top}

    def alter(self, degree: int, sign: int) -> None:
        """Alter the chord's *degree* by *sign* semitones, or add it altered."""
        if degree == 5:
            if self.fifth in (6, 8) and self.fifth != 7 + sign:  # both fifths are altered: b5 sounds as #11
                self.add(*((11, 1) if sign < 0 else (13, -1)))
            else:
                self.fifth = 7 + sign
        elif degree == 7:
            self.seventh = 11 if sign > 0 else 10 if sign == -1 else 9
            self.numbered = True
        elif degree == 3:
            self.third = 4 + sign
        elif degree == 10:
            self.add(9, 1)
        else:
            self.add(degree, sign)


def _apply(draft: _Draft, match: re.Match[str], first: bool) -> None:
    """Change *draft* by one token; *first* says that nothing but a root stands before it."""
    kind = match.lastgroup or ""
    # lastgroup names the innermost group closed last, so the outer ones are asked for by name.
    if match["sus"]:
        _suspend(draft, match["sus_kind"] or "4")
    elif match["add"]:
        draft.add(int(match["add_degree"]), _SIGN[match["add_alter"]])
    elif match["omit"]:
        if match["omitted"] == "3":
            draft.third = None
        else:
            draft.fifth = None
    elif match["alter"]:
        degree, sign = int(match["alter_degree"]), match["sign"]
        if first and sign in "-–−+" and degree != 5:  # C-7, C-9 are minor, C+7 is augmented
            _quality(draft, "minor" if sign != "+" else "aug")
            _number(draft, degree)
        else:
            draft.alter(degree, _SIGN[sign])
    elif match["number"]:
        _number(draft, int(match["number"]))
    else:
        _quality(draft, kind)


def _suspend(draft: _Draft, kind: str) -> None:
    """Suspend the third of *draft*: ``4``, ``2``, ``24``, or with a number (``9``) as a dominant."""
    draft.sus = _SUS.get(kind, (5,))
    if kind in ("7", "9", "13"):
        draft.stack(int(kind))


def _quality(draft: _Draft, kind: str) -> None:
    """Apply a word or sign that names a quality."""
    if kind in {"minor", "minus"}:
        draft.third = 3
    elif kind in ("aug", "plus"):
        draft.fifth = 8
    elif kind == "dim":
        draft.third, draft.fifth, draft.diminished = 3, 6, True
    elif kind == "half":
        draft.third, draft.fifth, draft.seventh, draft.numbered = 3, 6, 10, True
    elif kind in ("major", "delta"):
        draft.major_seventh, draft.delta = True, draft.delta or kind == "delta"
        if draft.numbered and draft.seventh is not None:  # C7M
            draft.seventh = 11
    elif kind == "sixnine":
        draft.sixth, draft.numbered = True, True
        draft.add(9)
    elif kind == "alt":
        draft.stack(7)
        draft.fifth = 8
        for degree, sign in ((9, -1), (9, 1), (11, 1)):
            draft.add(degree, sign)


def _number(draft: _Draft, number: int) -> None:
    """Apply a plain number: the chord's own the first time, an added note afterwards."""
    if number == 5:
        if not draft.numbered and draft.third == 4 and draft.fifth == 7:
            draft.third = None
    elif number in (2, 4):
        if number == 4 and draft.third == 4 and not draft.sus:
            draft.sus = (5,)
        else:
            draft.add(number)
    elif number == 6 and draft.seventh is None:
        draft.sixth, draft.numbered = True, True
    elif draft.numbered and (number != 7 or draft.sixth):
        if (
            draft.seventh == 10
            and draft.diminished is False
            and number > 7
            and draft.fifth == 6
            and not draft.implied
        ):
            draft.implied = {degree for degree in (9, 11, 13) if degree <= number}  # half-diminished: ø9, ø11
        else:
            draft.add(number)
    elif number == 7 and draft.numbered:
        return  # ø7: the sign has said it
    else:
        draft.stack(number)


def _finish(draft: _Draft) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Return the tones in stacking order and the tensions, sorted, of a *draft* that is read to its end."""
    if draft.delta and draft.seventh is None and not draft.sixth:
        draft.seventh = 11
    if draft.third is not None and draft.sus:
        draft.third = None
    implied = draft.implied
    if 13 in implied and draft.third == 4:
        implied = implied - {11}
    for degree in implied:
        draft.tensions.setdefault(degree, set()).add(_MAJOR_STEP[degree])
        if len(draft.tensions[degree]) > 1:  # an altered ninth takes the stacked one's place
            draft.tensions[degree].discard(_MAJOR_STEP[degree])
    added = {step for steps in draft.tensions.values() for step in steps}
    if 9 in added and draft.seventh is None and not draft.sixth:
        draft.sixth = True
    tones = [0, *draft.sus]
    tones += [step for step in (draft.third, draft.fifth) if step is not None]
    if draft.sixth and 9 not in tones:
        tones.append(9)
    if draft.seventh is not None:
        tones.append(draft.seventh)
    return tuple(sorted(set(tones))), tuple(sorted(added - set(tones)))


def read_quality(text: str, start: int) -> tuple[tuple[int, ...], tuple[int, ...]] | int:
    """Return tones and tensions of the symbol in *text* whose root ends at *start*, or where it can't be read."""
    draft, place = _Draft(), start
    while place < len(text):
        match = _TOKENS.match(text, place)
        if match is None or (match["number"] and text[match.end() : match.end() + 1].isdigit()):
            return place
        if not match["skip"]:
            _apply(draft, match, first=place == start)
        place = match.end()
    return _finish(draft)
