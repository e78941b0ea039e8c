"""Chord qualities written: the one consistent spelling for each set of chord tones and tensions.

Sevenths are ``7 maj7 m7 m7b5 dim7 m(maj7)``; alterations follow in order, in brackets when there are several or
when no number stands before them (``C7b9``, ``C7(b9,#11)``, ``C(b5)``), so that ``Cb5`` can't be read as C flat.
"""

from __future__ import annotations

Steps = tuple[int, ...]

_TENSION = {
    1: "b9",
    2: "9",
    3: "#9",
    5: "11",
    6: "#11",
    8: "b13",
    9: "13",
    4: "b11",
    7: "5",
    10: "b7",
    11: "7",
}
_ORDER = {"b9": 0, "9": 1, "#9": 2, "b11": 3, "11": 4, "#11": 5, "b13": 6, "13": 7}


def format_quality(tones: Steps, tensions: Steps) -> str:
    """Return the part of the symbol after the root for *tones* and *tensions* (semitones above it)."""
    have, left = set(tones), set(tensions)
    if have == {0, 4, 8, 10} and left == {1, 3, 6}:
        return "7alt"
    family, fifth_mark, omitted = _family(have)
    number = _number(have, left)
    if family == "5" and number:
        family, omitted = "", [*omitted, "omit3"]
    marks = sorted((_TENSION[step] for step in left), key=lambda mark: _ORDER.get(mark, 9))
    added = [mark if mark[0] in "b#" and number else f"add{mark}" for mark in marks]
    return _assemble(family, number, [*fifth_mark, *added, *omitted])


def _family(have: set[int]) -> tuple[str, list[str], list[str]]:
    """Return the triad's word, the marks for an altered fifth, and what is left out."""
    omitted = [] if have & {6, 7, 8} else ["omit5"]
    flat, sharp = 6 in have and 7 not in have, 8 in have and 7 not in have
    marks = ["#5"] if sharp else ["b5"] if flat else []
    if 4 in have:
        return ("aug", [], omitted) if sharp and not have & {9, 10, 11} else ("", marks, omitted)
    if 3 in have:
        return ("dim", [], omitted) if flat and 10 not in have else ("m", marks, omitted)
    suspended = {(False, False): "5", (True, False): "sus2", (False, True): "sus4", (True, True): "sus24"}
    return suspended[2 in have, 5 in have], marks, omitted


def _number(have: set[int], left: set[int]) -> str:
    """Return the number (7, maj9, 6/9 ...) and take out of *left* the tensions that it implies."""
    diminished = {3, 6, 9} <= have and not have & {7, 10, 11}
    if have & {10, 11} or diminished:
        top, implied = _stacked(have, left)
        left -= implied
        return ("maj" if 11 in have else "") + top
    if 9 not in have:
        return ""
    if 2 in left and not have & {2, 5}:
        left.discard(2)
        return "6/9"
    return "6"


def _stacked(have: set[int], left: set[int]) -> tuple[str, set[int]]:
    """Return the highest number of the stack of thirds, and the tensions that it implies."""
    ninth, eleventh = left & {1, 2, 3}, left & {5, 6}
    # A thirteenth implies the eleventh where no major third rubs against it
    with_eleventh = not have & {4, 5}
    if 9 in left and ninth and (eleventh or not with_eleventh):
        return "13", {2, 5, 9} if with_eleventh else {2, 9}
    if 5 in left and ninth:
        return "11", {2, 5}
    return ("9", {2}) if 2 in left else ("7", set())


def _assemble(family: str, number: str, marks: list[str]) -> str:
    """Return the symbol's tail from the triad's word, the number and the marks after it."""
    if family.startswith("sus"):
        head = number + family
    elif number.startswith("maj") and family in ("m", "dim"):
        head = f"{family}({number})"
    else:
        head = family + number
    if not marks:
        return head
    if (
        len(marks) == 1
        and head
        and head[-1].isdigit()
        and marks[0][0] in "b#"
        and not family.startswith("sus")
    ):
        return head + marks[0]
    if len(marks) == 1 and not head and marks[0].startswith("add") and marks[0][3].isdigit():
        return marks[0]
    return f"{head}({','.join(marks)})"
