"""Measures of one voice's rhythm on a grid: syncopation, evenness, and how far two rhythms lie apart.

A rhythm is the set of its onsets among *slots* equal places of a cycle. Every measure's own source stands with it.
"""

from __future__ import annotations

from cmath import exp
from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import cos, gcd, pi

SALIENCE = (5, 1, 2, 1, 3, 1, 2, 1, 4, 1, 2, 1, 3, 1, 2, 1)


def _order(onsets: Iterable[int]) -> list[int]:
    return sorted(set(onsets))


def _gaps(onsets: Sequence[int], slots: int) -> list[int]:
    """Return the distance from each onset to the next, around the cycle."""
    return [b - a for a, b in pairwise((*onsets, onsets[0] + slots))]


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


def find_keith(onsets: Iterable[int], slots: int) -> int:
    """Return M. Keith's measure in G. Toussaint's form (2002, BRIDGES): onsets that their own length displaces."""
    ordered = _order(onsets)
    count = 0
    for onset, gap in zip(ordered, _gaps(ordered, slots), strict=True):
        power = 1 << (gap.bit_length() - 1)
        count += onset % power != 0
    return count


def find_off_beatness(onsets: Iterable[int], slots: int) -> int:
    """Return how many onsets fall on places coprime to the cycle (G. Toussaint, 2002, BRIDGES)."""
    return sum(gcd(onset, slots) == 1 for onset in set(onsets))


def find_wnbd(onsets: Iterable[int], slots: int, beats: int = 4) -> float:
    """Return the weighted note-to-beat distance (F. Gómez, A. Melvin, D. Rappaport, G. Toussaint, 2005, BRIDGES)."""
    ordered, unit = _order(onsets), slots / beats
    total = 0.0
    for onset, gap in zip(ordered, _gaps(ordered, slots), strict=True):
        into = onset % unit
        if into == 0:
            continue
        distance = min(into, unit - into) / unit
        next_beat = onset - into + unit
        crosses_one = next_beat < onset + gap < next_beat + unit
        total += (2 if crosses_one else 1) / distance
    return total / len(ordered)


def find_npvi(onsets: Iterable[int], slots: int) -> float:
    """Return the normalised pairwise variability of the lengths (E. Grabe and E. Low, 2002; G. Toussaint, 2013)."""
    gaps = _gaps(_order(onsets), slots)
    pairs = list(pairwise(gaps))
    return 100 / len(pairs) * sum(abs(a - b) / ((a + b) / 2) for a, b in pairs)


def has_rhythmic_oddity(onsets: Iterable[int], slots: int) -> bool:
    """Return whether no two onsets part the cycle in equal halves (S. Arom, 1991; G. Toussaint, 2013)."""
    struck = set(onsets)
    return not any((onset + slots // 2) % slots in struck for onset in struck)


def find_metrical_complexity(onsets: Iterable[int]) -> int:
    """Return how far the onsets' weights on a 16 grid fall short of the heaviest possible (G. Toussaint, 2002)."""
    struck = set(onsets)
    heaviest = sum(sorted(SALIENCE, reverse=True)[: len(struck)])
    return heaviest - sum(SALIENCE[onset] for onset in struck)


def find_swap_distance(first: Iterable[int], second: Iterable[int]) -> int:
    """Return the swaps of neighbouring places that turn one rhythm into another (G. Toussaint, 2004, ISMIR)."""
    return sum(abs(a - b) for a, b in zip(_order(first), _order(second), strict=True))


def find_syncopation(onsets: Iterable[int]) -> int:
    """Return the syncopation on a 16 grid of D. Gómez-Marín, S. Jordà and P. Herrera (2020, JNMR 49(5):438-456).

    Each onset followed by a silence adds the silence's salience less its own, so that plain rhythms are negative.
    """
    struck = set(onsets)
    pairs = ((onset, (onset + 1) % 16) for onset in struck)
    return sum(SALIENCE[after] - SALIENCE[onset] for onset, after in pairs if after not in struck)


def find_balance(onsets: Iterable[int], slots: int) -> float:
    """Return how well the onsets balance around the circle, 1 for perfectly (A. Milne and others, 2015)."""
    struck = _order(onsets)
    return 1 - abs(sum(exp(2j * pi * onset / slots) for onset in struck)) / len(struck)


def find_evenness(onsets: Iterable[int], slots: int) -> float:
    """Return how near the onsets lie to as many even places, 1 for perfectly, counted from the first onset.

    It is the mean cosine of their angles apart, the form in which D. Gómez-Marín and others (2020) take the evenness
    of A. Milne and R. Dean (2016, Computer Music Journal 40(1):35-53).
    """
    struck = _order(onsets)
    count = len(struck)
    apart = (index / count - (onset - struck[0]) / slots for index, onset in enumerate(struck))
    return sum(abs(cos(2 * pi * turn)) for turn in apart) / count
