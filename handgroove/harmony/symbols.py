"""Chord symbols read: from any spelling that working musicians use to one Chord with one consistent symbol.

Taken as the same: ``Cmaj7 CM7 CΔ Cma7 C^7``; ``Cm7 C-7 Cmin7 Cmi7``; ``Cm7b5 Cø C-7-5 Chdim7``; ``Cdim7 C°7 Co7``;
``Caug C+``; ``C7#5 C+7 C7+``; ``C6/9 C69``; ``C7sus4 C7sus Csus7``; ``C7alt Calt``; flats and sharps in print (♭ ♯)
or as letters. After a slash a note name is the bass (``C/E``); a whole chord after one slash or two is a polychord
(``D/C7``, ``D//C``: a D chord above a C chord).

Where spellings differ in meaning, common practice decides (no source): a bare ``dim`` is a triad, a bare ``Δ`` a
major seventh, ``2`` an added ninth, ``4`` a suspended fourth; a thirteenth implies the ninth but not the eleventh,
which rubs against a major third; ``alt`` is a raised fifth (b13) with b9, #9 and #11.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass, field
from functools import lru_cache

from handgroove.errors import HandgrooveError, Problem
from handgroove.harmony.chord_model import Chord, Name
from handgroove.harmony.names import match_name, plain_accidentals
from handgroove.harmony.scales import fit_scale
from handgroove.harmony.symbol_format import format_quality

# What a musician may be shown when a quality is not known: our own spelling of each.
QUALITIES = (
    *("", "m", "dim", "aug", "5", "sus4", "sus2", "6", "m6", "6/9", "m6/9", "add9", "m(add9)"),
    *("7", "maj7", "m7", "m7b5", "dim7", "m(maj7)", "7sus4", "7#5", "7b5", "maj7#5", "maj7b5"),
    *("9", "maj9", "m9", "m9b5", "9sus4", "m(maj9)", "11", "m11", "13", "maj13", "m13", "13sus4"),
    *(
        "7b9",
        "7#9",
        "7#11",
        "7b13",
        "7(b9,b13)",
        "7(#5,#9)",
        "9#11",
        "13#11",
        "13b9",
        "maj7#11",
        "maj9#11",
        "7alt",
    ),
)
_LONGEST_SYMBOL = 64
_LONGEST_TOLD = 40
_EXCERPT = 110  # characters of a long line that are shown around the fault
_LONGEST_QUALITY = 24  # a longer word is no chord with a slip in it
# Spellings that a near miss may have been aiming at, beside our own.
_ALIASES = (
    "maj",
    "min",
    "min7",
    "M7",
    "-7",
    "-",
    "+",
    "°",
    "ø",
    "Δ",
    "sus",
    "7sus",
    "alt",
    "add2",
    "aug7",
    "7(b9)",
)

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


@dataclass(frozen=True, slots=True)
class Fault:
    """Why a symbol can't be read: from *start* (0 = its first character) on, what was *expected*, and near ones."""

    start: int
    expected: str
    near: tuple[str, ...] = ()


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


def _split_bass(text: str, start: int) -> tuple[str, str, int]:
    """Return the symbol above a slash, what stands below it, and where that begins (0 = there is none)."""
    double = text.find("//", start)
    if double >= 0:
        return text[:double], text[double:], double + 2
    slash = text.rfind("/", start)
    if slash >= 0 and text[slash + 1 : slash + 2] in tuple("ABCDEFG"):
        return text[:slash], text[slash:], slash + 1
    return text, "", 0


@lru_cache(maxsize=4096)
def read_symbol(text: str) -> Chord | Fault:
    """Return the chord that *text* spells, or the fault that keeps it from being read."""
    if len(text) > _LONGEST_SYMBOL:
        return Fault(0, f"a chord symbol of at most {_LONGEST_SYMBOL} characters")
    plain = plain_accidentals(text)
    found = match_name(plain)
    if found is None:
        return _root_fault(plain)
    root, start = found
    upper, below, below_start = _split_bass(plain, start)
    quality = _read_quality(upper, start, root)
    if isinstance(quality, Fault):
        return quality
    chord = make_chord(root, *quality)
    return _read_below(chord, plain, below_start, whole=below.startswith("//")) if below else chord


def _read_below(chord: Chord, text: str, start: int, *, whole: bool) -> Chord | Fault:
    """Return *chord* over what stands in *text* from *start* on: a bass note, or a *whole* chord."""
    bass = match_name(text, start)
    if not whole and bass and bass[1] == len(text):
        return over_bass(chord, bass[0])
    lower = read_symbol(text[start:])
    if isinstance(lower, Fault):
        return Fault(start + lower.start, lower.expected, tuple(text[:start] + near for near in lower.near))
    return polychord(chord, lower)


def make_chord(root: Name, tones: tuple[int, ...], tensions: tuple[int, ...] = ()) -> Chord:
    """Return the chord of *tones* and *tensions* (semitones) above *root*, with our symbol for it."""
    symbol = f"{root}{format_quality(tones, tensions)}"
    return Chord(symbol, root, root, tones, tensions, fit_scale(tones, tensions))


def over_bass(chord: Chord, bass: Name) -> Chord:
    """Return *chord* with *bass* as its lowest note."""
    symbol = chord.symbol if bass == chord.root else f"{chord.symbol}/{bass}"
    return Chord(symbol, chord.root, bass, chord.tones, chord.tensions, chord.scale)


def polychord(upper: Chord, lower: Chord) -> Chord:
    """Return the polychord of *upper* above *lower*: the lower chord's root and tones, the upper one's as tensions."""
    above = {(pc - lower.root.pc) % 12 for pc in upper.pcs}
    tensions = tuple(sorted((above | set(lower.tensions)) - set(lower.tones)))
    scale = fit_scale(lower.tones, tensions)
    return Chord(f"{upper.symbol}//{lower.symbol}", lower.root, lower.bass, lower.tones, tensions, scale)


def _read_quality(text: str, start: int, root: Name) -> tuple[tuple[int, ...], tuple[int, ...]] | Fault:
    """Return tones and tensions of the symbol in *text* whose root ends at *start*, or the fault in it."""
    draft, place = _Draft(), start
    while place < len(text):
        match = _TOKENS.match(text, place)
        if match is None or (match["number"] and text[match.end() : match.end() + 1].isdigit()):
            near = near_symbols(text[start:], str(root))
            return Fault(place, "a chord quality such as m, maj7, 7, sus4, dim or b9", near)
        if not match["skip"]:
            _apply(draft, match, first=place == start)
        place = match.end()
    return _finish(draft)


def _root_fault(text: str) -> Fault:
    """Return the fault of a symbol that doesn't begin with a root; a small letter or a German H may be meant as one."""
    meant = "B" + text[1:] if text[:1] in ("H", "h") else text[:1].upper() + text[1:]
    near = (meant,) if meant != text and isinstance(read_symbol(meant), Chord) else ()
    return Fault(0, "a chord's root, A to G in capitals, with # or b", near)


def near_symbols(quality: str, root: str) -> tuple[str, ...]:
    """Return up to three legal symbols on *root* that are nearest to the unknown *quality*."""
    names = difflib.get_close_matches(quality[:_LONGEST_QUALITY], (*QUALITIES, *_ALIASES), n=3, cutoff=0.5)
    return tuple(dict.fromkeys(root + name for name in names)) or (root, f"{root}m", f"{root}7")


def fault_problem(text: str, fault: Fault, place: str, line: str, column: int) -> Problem:
    """Return the problem that tells of *fault* in *text*, which begins in *column* of *line*, with a caret."""
    word = shorten(text)
    got = repr(word) if fault.start == 0 else f"{shorten(text[fault.start :])!r} in {word!r}"
    remedy = f"did you mean {' or '.join(repr(n) for n in fault.near)}?" if fault.near else ""
    return Problem(
        place, f"expected {fault.expected}, got {got}", point_at(line, column + fault.start), remedy
    )


def shorten(text: str) -> str:
    """Return *text*, cut where it is too long to be told."""
    return text if len(text) <= _LONGEST_TOLD else text[:_LONGEST_TOLD] + "\N{HORIZONTAL ELLIPSIS}"


def point_at(line: str, column: int) -> str:
    """Return the excerpt of *line* around *column* (1 = first) with a caret under it."""
    start = max(0, column - 1 - _EXCERPT // 2) if len(line) > _EXCERPT else 0
    return f"    {line[start : start + _EXCERPT]}\n    {' ' * (column - 1 - start)}^"


def parse_chord(text: str, place: str = "chord") -> Chord:
    """Return the chord that the symbol *text* spells; *place* is where it stands, for messages."""
    trimmed = text.strip()
    found = read_symbol(trimmed)
    if isinstance(found, Fault):
        raise HandgrooveError(fault_problem(trimmed, found, place, trimmed, 1))
    return found
