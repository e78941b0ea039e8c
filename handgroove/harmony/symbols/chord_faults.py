"""Chord symbols that can't be read: where, what was expected, and the nearest legal ones."""

from __future__ import annotations

import difflib
from dataclasses import dataclass

from handgroove.errors import Problem

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


@dataclass(frozen=True, slots=True)
class ChordFault:
    """Why a symbol can't be read: from *start* (0 = its first character) on, what was *expected*, and near ones."""

    start: int
    expected: str
    near: tuple[str, ...] = ()


def near_symbols(quality: str, root: str) -> tuple[str, ...]:
    """Return up to three legal symbols on *root* that are nearest to the unknown *quality*."""
    names = difflib.get_close_matches(quality[:_LONGEST_QUALITY], (*QUALITIES, *_ALIASES), n=3, cutoff=0.5)
    return tuple(dict.fromkeys(root + name for name in names)) or (root, f"{root}m", f"{root}7")


def fault_problem(text: str, fault: ChordFault, place: str, line: str, column: int) -> Problem:
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
