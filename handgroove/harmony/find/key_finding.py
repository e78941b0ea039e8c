"""Key finding: which key a passage is in, and where it changes.

A passage's key is the one whose profile (`key_profiles`) correlates best with how
long each pitch class sounds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from handgroove.harmony.find.sounding import Slot, Sounding, fill_slots
from handgroove.harmony.symbols.chord_model import Key
from handgroove.harmony.symbols.key_profiles import all_keys, key_fits
from handgroove.harmony.symbols.names import fifths
from handgroove.timeline import Timeline

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
