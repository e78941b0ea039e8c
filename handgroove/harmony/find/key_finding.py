"""Key finding: which key a passage is in, and where it changes.

Source: C. Krumhansl and E. Kessler (1982), "Tracing the dynamic changes in perceived tonal organization in a spatial
representation of musical keys", Psychological Review 89(4):334-368; the profiles as printed in C. Krumhansl (1990),
Cognitive Foundations of Musical Pitch, p. 30. A passage's key is the one whose profile correlates best with how
long each pitch class sounds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import sqrt

from handgroove.harmony.charts.chart_model import Chart
from handgroove.harmony.find.sounding import Slot, Sounding, fill_slots
from handgroove.harmony.symbols.chord_model import Chord, Key
from handgroove.harmony.symbols.names import common_name, fifths, name_above
from handgroove.timeline import Metre, Timeline

MAJOR_PROFILE = (6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88)
MINOR_PROFILE = (6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17)

_CHANGE_COST = 1.1  # a new key must fit better by so much, summed over its bars (correlations, 1 = perfect)
_FAR_COST = 0.12  # and by more, for each step on the circle of fifths
_CLOSING_BONUS = 0.2  # a piece mostly ends over its tonic (ours: the profiles alone often take the dominant)
_WINDOW_BARS = 1  # bars heard on each side of a bar


@dataclass(frozen=True, slots=True)
class KeySpan:
    """The music is in *key* from *start_tick* to *end_tick*."""

    start_tick: int
    end_tick: int
    key: Key


@lru_cache(maxsize=1)
def all_keys() -> tuple[Key, ...]:
    """Return the 24 keys, majors first, each spelled with the fewest sharps or flats."""
    majors = [Key(common_name(pc)) for pc in range(12)]
    minors = []
    for pc in range(12):
        spellings = [Key(common_name(pc), True), Key(name_above(common_name((pc + 3) % 12), 6, 9), True)]
        minors.append(min(spellings, key=lambda key: abs(fifths(key))))
    return (*majors, *minors)


@lru_cache(maxsize=1)
def _standard_profiles() -> tuple[tuple[float, ...], ...]:
    """Return the 24 profiles by pitch class, with mean 0 and length 1, in the order of all_keys()."""
    found = []
    for profile in (MAJOR_PROFILE, MINOR_PROFILE):
        mean = sum(profile) / 12
        length = sqrt(sum((value - mean) ** 2 for value in profile))
        unit = [(value - mean) / length for value in profile]
        found += [tuple(unit[(pc - tonic) % 12] for pc in range(12)) for tonic in range(12)]
    return tuple(found)


def key_fits(weights: Sequence[float]) -> list[float]:
    """Return the correlation of *weights* (how long each pitch class sounds) with each of the 24 profiles."""
    mean = sum(weights) / 12
    length = sqrt(sum((weight - mean) ** 2 for weight in weights))
    if length < 1e-9:
        return [0.0] * 24
    return [
        sum(value * weight for value, weight in zip(profile, weights, strict=True)) / length
        for profile in _standard_profiles()
    ]


def find_key(notes: Sequence[Sounding], *, closing: bool = True) -> Key:
    """Return the key that fits all of *notes* best.

    With *closing* the last bass note counts as a hint of the tonic; without it only the published profiles do.
    """
    weights = [0.0] * 12
    for note in notes:
        weights[note.pitch % 12] += max(1, note.end_tick - note.tick)
    fits = key_fits(weights)
    if closing and notes:
        last_tick = max(note.tick for note in notes)
        bass = min(note.pitch for note in notes if note.end_tick > last_tick) % 12
        fits[bass] += _CLOSING_BONUS
        fits[bass + 12] += _CLOSING_BONUS
    return all_keys()[max(range(24), key=fits.__getitem__)]


def find_keys(notes: Sequence[Sounding], timeline: Timeline) -> tuple[KeySpan, ...]:
    """Return the keys that the passage goes through, bar by bar, with as few changes as fit it well."""
    if not notes:
        return ()
    end_tick = max([timeline.end_tick, *(note.end_tick for note in notes)])
    bars: list[Slot] = []
    while not bars or bars[-1].end_tick < end_tick:
        here = timeline.bar_at(bars[-1].end_tick if bars else 0)
        bars.append(Slot(here.start_tick, here.end_tick))
    fill_slots(bars, notes)
    fits = [key_fits(_window(bars, index)) for index in range(len(bars))]
    path = _key_path(fits)
    spans: list[KeySpan] = []
    for bar, state in zip(bars, path, strict=True):
        key = all_keys()[state]
        if spans and spans[-1].key == key:
            spans[-1] = KeySpan(spans[-1].start_tick, bar.end_tick, key)
        else:
            spans.append(KeySpan(bar.start_tick, bar.end_tick, key))
    return tuple(spans)


def _window(bars: Sequence[Slot], index: int) -> list[float]:
    """Return how long each pitch class sounds in a bar and, counting half, beside it."""
    weights = list(bars[index].weights)
    for near in range(max(0, index - _WINDOW_BARS), min(len(bars), index + _WINDOW_BARS + 1)):
        if near != index:
            weights = [w + 0.5 * more for w, more in zip(weights, bars[near].weights, strict=True)]
    return weights


@lru_cache(maxsize=1)
def _change_costs() -> tuple[tuple[float, ...], ...]:
    """Return what going from each key to each other one costs."""
    places = [fifths(key) for key in all_keys()]
    costs = []
    for before in range(24):
        row = []
        for after in range(24):
            apart = abs(places[before] - places[after]) % 12
            row.append(0.0 if before == after else _CHANGE_COST + _FAR_COST * min(apart, 12 - apart))
        costs.append(tuple(row))
    return tuple(costs)


def _key_path(fits: Sequence[Sequence[float]]) -> list[int]:
    """Return the index of each bar's key, so that fits less costs of change are the most in all."""
    costs = _change_costs()
    totals, back = list(fits[0]), []
    for row in fits[1:]:
        pointers = [
            max(range(24), key=lambda before, after=after: totals[before] - costs[before][after])  # type: ignore[misc]
            for after in range(24)
        ]
        totals = [totals[before] - costs[before][after] + row[after] for after, before in enumerate(pointers)]
        back.append(pointers)
    path = [max(range(24), key=totals.__getitem__)]
    for pointers in reversed(back):
        path.append(pointers[path[-1]])
    return path[::-1]


def chart_key(chart: Chart) -> Key:
    """Return the key that a chart's chords are in.

    Roots count double, the first and last chord more, and so does a chord that a dominant seventh resolves into.
    """
    weights = [0.0] * 12
    metre = chart.metre or Metre(4, 4)
    placed = []
    for bar in chart.bars:
        metre = bar.metre or metre
        ends = [*(one.offset_ticks for one in bar.chords[1:]), metre.bar_ticks]
        placed += [
            (c.chord, end - c.offset_ticks) for c, end in zip(bar.chords, ends, strict=True) if c.chord
        ]
    if not placed:
        return all_keys()[0]
    for chord, ticks in placed:
        for pc in (*chord.tone_pcs, chord.root.pc):
            weights[pc] += ticks / 960
    fits = key_fits(weights)
    first, last = placed[0][0], placed[-1][0]
    homes = [first] if _is_dominant(last) and last.root != first.root else [first, last]
    for chord in homes:
        fits[_as_tonic(chord)] += 0.15
    resolved = [
        after
        for (before, _), (after, _) in pairwise(placed)
        if _is_dominant(before) and not _is_dominant(after) and (after.root.pc - before.root.pc) % 12 == 5
    ]
    for chord in resolved:
        fits[_as_tonic(chord)] += 0.3 / len(resolved)
    best = all_keys()[max(range(24), key=fits.__getitem__)]
    # The chart's own spelling of the tonic is the musician's (Gb where we would say F#).
    own = next((chord.root for chord, _ in placed if chord.root.pc == best.tonic.pc), best.tonic)
    return Key(own, best.minor)


def _is_dominant(chord: Chord) -> bool:
    """Return whether *chord* has a dominant's third and seventh."""
    return 4 in chord.tones and 10 in chord.tones


def _as_tonic(chord: Chord) -> int:
    """Return the index in all_keys() of the key whose tonic chord *chord* would be."""
    return chord.root.pc + (12 if 3 in chord.tones else 0)
