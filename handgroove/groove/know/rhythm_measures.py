"""A measure of one voice's rhythm on a grid: how syncopated it is.

A rhythm is the set of its onsets among *slots* equal places of a cycle.
"""

from __future__ import annotations

from collections.abc import Iterable


def find_lhl(onsets: Iterable[int], slots: int) -> int:
    """Return the syncopation of C. Longuet-Higgins and C. Lee (1984, Music Perception 1(4):424-441).

    A rest that weighs as much as the note before it, or more, adds the difference; rests are taken whole, at the
    highest level of the halving tree that is silent, as in C. Song, M. Pearce and C. Harte (2015, SynPy). *slots* is a
    power of two.
    """
    struck = set(onsets)
    total, note = 0, None
    for is_note, weight in _walk(struck, 0, slots, 0, 0):
        if is_note:
            note = weight
        elif note is not None and weight >= note:
            total += weight - note
    return total


def _walk(struck: set[int], start: int, length: int, weight: int, depth: int) -> Iterable[tuple[bool, int]]:
    """Yield (is it a note, its weight) in order of time, silent stretches whole."""
    if not any(start <= onset < start + length for onset in struck):
        yield False, weight
    elif length == 1:
        yield True, weight
    else:
        half = length // 2
        yield from _walk(struck, start, half, weight, depth + 1)
        yield from _walk(struck, start + half, half, -(depth + 1), depth + 1)
