"""Written positions from played ones: a search over beats for the grid that explains the strokes most simply.

For each beat every grid is tried (2, 3, 4, 6 or 8 to a quarter, in compound beats their own), with the player a little
before or behind. A grid's cost is how far the strokes lie from it, measured in a player's scatter, plus how much it
asks of a reader, plus what strokes cost that would fall together though they were played apart. A dynamic programme
over the whole piece adds a cost for changing between duple and triple grids, so that one late stroke does not make a
triplet, and follows a player who drifts before or behind the beat. Of ways that cost the same, the simpler grid's wins,
then the smaller drift's. The idea is that of rhythm quantisation as a search (Cemgil, Desain and Kappen, "Rhythm
quantization for transcription", Computer Music Journal 24, 2000, from memory); the costs are our own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from handgroove.groove.hits import Feel
from handgroove.groove.meant.grids import Grid, grids_for
from handgroove.groove.meant.swing import straighten, swing, swings
from handgroove.metre import beats, shift_ticks
from handgroove.timeline import Timeline

LATES = (0, -40, 40, -80, 80, -120, 120)  # how far behind the beat a player may be, in ticks, nearest first
CHANGE = 1.5  # from duple to triple or back
DRIFT = 0.7  # for each step of 40 ticks that the player drifts from one beat to the next
LATE = 0.004  # for each tick and beat
STEP_TICKS = 40
EXACT_TICKS = 14  # of a grid: nearer than this a machine put the stroke there
EXACT_SHARE = 0.95
TOGETHER_SEC = 0.035  # strokes of one drum or hand nearer than this may be one
FALL_TOGETHER = 7.0
NONE, DUPLE, TRIPLE = range(3)  # how a beat is divided

Ticks = NDArray[np.int64]
Costs = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Beats:
    """The beats that are struck: their starts and lengths, the base that swing is counted from, seconds a tick."""

    starts: Ticks
    lengths: Ticks
    bases: Ticks
    tick_secs: Costs


def written_ticks(onsets: Mapping[int, int], timeline: Timeline, feel: Feel, end_tick: int) -> dict[int, int]:
    """Return the written tick for each played tick in *onsets* (tick to a mask of the hands that strike there)."""
    ticks = sorted(tick for tick in onsets if tick < end_tick)
    return dict(zip(ticks, quantise(ticks, [onsets[tick] for tick in ticks], timeline, feel), strict=True))


def quantise(ticks: Sequence[int], masks: Sequence[int], timeline: Timeline, feel: Feel) -> list[int]:
    """Return the written tick of each stroke at *ticks* (in order); strokes with a bit of *masks* in common are one
    drum's or hand's, and do not fall together unless they were played together."""
    if not ticks:
        return []
    played = np.asarray(ticks, dtype=np.int64)
    found, of = _find_beats(ticks, timeline)
    before, apart = _before(played, masks, found, of)
    lates = LATES[:1] if _is_exact(played, found, of, feel) else LATES
    costs = np.full((len(found.starts), 3, len(lates)), np.inf)
    written = np.zeros((len(played), 3, len(lates)), dtype=np.int64)
    for length in sorted(set(found.lengths.tolist())):
        chosen = np.flatnonzero(found.lengths == length)
        inside = np.flatnonzero(found.lengths[of] == length)
        own = np.searchsorted(chosen, of[inside])
        for grid in grids_for(length, feel):
            kind = NONE if grid[0] == 1 else TRIPLE if grid[0] % 3 == 0 and length == 960 else DUPLE
            cost, at = _try(played, found, of, inside, own, len(chosen), grid, feel, lates, before, apart)
            better = cost < costs[chosen, kind]
            costs[chosen, kind] = np.where(better, cost, costs[chosen, kind])
            written[inside, kind] = np.where(better[own], at, written[inside, kind])
    kinds, late_at = _cheapest(costs, lates, loose=swings(feel))
    result = written[np.arange(len(played)), kinds[of], late_at[of]]
    return [int(tick) for tick in result]


def _find_beats(ticks: Sequence[int], timeline: Timeline) -> tuple[_Beats, NDArray[np.intp]]:
    """Return the beats that hold strokes, and for each stroke the number of its beat among them."""
    starts: list[int] = []
    lengths: list[int] = []
    bases: list[int] = []
    secs: list[float] = []
    at = timeline.bar_at(ticks[0]).start_tick
    while at <= ticks[-1]:
        bar = timeline.bar_at(at)
        sec, base = 60 / timeline.tempo_at(at) / 960, bar.start_tick - shift_ticks(bar)
        for start, length in beats(bar):
            starts.append(start)
            lengths.append(length)
            bases.append(base)
            secs.append(sec)
        at = bar.end_tick
    every = np.asarray(starts, dtype=np.int64)
    of = np.maximum(np.searchsorted(every, np.asarray(ticks), side="right") - 1, 0)
    # Not np.unique, which would load all of masked arrays for this one line.
    struck = np.flatnonzero(np.bincount(of))
    of = np.searchsorted(struck, of)
    found = _Beats(
        every[struck], np.asarray(lengths)[struck], np.asarray(bases)[struck], np.asarray(secs)[struck]
    )
    return found, of


def _before(
    played: Ticks, masks: Sequence[int], found: _Beats, of: NDArray[np.intp]
) -> tuple[NDArray[np.intp], Ticks]:
    """Return for strokes that could be thought to fall together with an earlier one of the same drum: which, and the
    earlier one. Only strokes of one beat, played farther apart than one chord's, are such."""
    last: dict[int, int] = {}
    later, earlier = [], []
    limits = TOGETHER_SEC / found.tick_secs
    for index, (tick, mask) in enumerate(zip(played.tolist(), masks, strict=True)):
        bits = mask
        while bits:
            bit = bits & -bits
            bits ^= bit
            other = last.get(bit)
            if other is not None and of[other] == of[index] and tick - played[other] > limits[of[index]]:
                later.append(index)
                earlier.append(other)
            last[bit] = index
    return np.asarray(later, dtype=np.intp), np.asarray(earlier, dtype=np.int64)


def _is_exact(played: Ticks, found: _Beats, of: NDArray[np.intp], feel: Feel) -> bool:
    """Return whether nearly all strokes lie on a grid as if a machine had put them there."""
    offset = played - found.bases[of]
    even = straighten(offset, feel) if swings(feel) else offset
    off = np.minimum(np.abs(even - np.rint(even / 240) * 240), np.abs(offset - np.rint(offset / 160) * 160))
    return bool(np.mean(off <= EXACT_TICKS) >= EXACT_SHARE)


def _try(  # noqa: PLR0913, PLR0917 - columns of one table
    played: Ticks,
    found: _Beats,
    of: NDArray[np.intp],
    inside: NDArray[np.intp],
    own: NDArray[np.intp],
    count: int,
    grid: Grid,
    feel: Feel,
    lates: Sequence[int],
    before: NDArray[np.intp],
    apart: Ticks,
) -> tuple[Costs, Ticks]:
    """Return the cost of each beat on *grid* with each of *lates* (beats by lates), and where each stroke is written.

    *inside* are the strokes in these beats, and *own* the number of each one's beat among them.
    """
    parts, swung, asks = grid
    beat = of[inside]
    start, base, tick_sec = (
        found.starts[beat][:, None],
        found.bases[beat][:, None],
        found.tick_secs[beat][:, None],
    )
    step = found.lengths[beat][:, None] // parts
    sharp = tick_sec / (0.010 + 0.022 * 960 * tick_sec)  # ticks to deviations of a player's scatter
    on_time = played[inside][:, None] - np.asarray(lates)[None, :]
    place = base + straighten(on_time - base, feel) if swung else on_time
    slot = np.clip(np.rint((place - start) / step), 0, parts).astype(np.int64)
    at = start + slot * step
    off = (on_time - (base + swing(at - base, feel) if swung else at)) * sharp
    width = parts + 1
    cost = np.empty((count, len(lates)))
    for number in range(len(lates)):  # strokes that fall together are one observation, however many they are
        key = own * width + slot[:, number]
        strokes = np.bincount(key, minlength=count * width)
        squares = np.bincount(key, off[:, number] ** 2, minlength=count * width)
        mean = squares / np.maximum(strokes, 1)
        cost[:, number] = mean.reshape(count, width).sum(axis=1) / 2
    if len(before):
        number_of = np.full(len(played), -1, dtype=np.int64)
        number_of[inside] = np.arange(len(inside))
        later, earlier = number_of[before], number_of[apart]
        later, earlier = later[later >= 0], earlier[later >= 0]
        same = (slot[later] == slot[earlier]) * FALL_TOGETHER
        np.add.at(cost, own[later], same)
    return cost + asks + LATE * np.abs(np.asarray(lates))[None, :], at


def _cheapest(
    costs: Costs, lates: Sequence[int], *, loose: bool
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return how each beat is divided and which of *lates* holds there, on the cheapest way through all beats.

    *loose* says that triplets may come and go freely.
    """
    count, _, width = costs.shape
    steps = np.abs(np.subtract.outer(np.asarray(lates), np.asarray(lates))) // STEP_TICKS
    move = np.where(steps > 1, np.inf, steps * DRIFT)  # from row to column
    change = 0.0 if loose else CHANGE
    total = np.full((2, width), np.inf)  # by the last division (duple, triple) and late
    total[0, 0] = 0.0
    from_late = np.zeros((count, 2, width), dtype=np.intp)
    divided = np.zeros((count, 2, width), dtype=np.intp)
    turned = np.zeros((count, 2, width), dtype=bool)
    for number in range(count):
        ways = total[:, :, None] + move[None]
        from_late[number] = ways.argmin(axis=1)
        total = ways.min(axis=1)
        stay, other = total, total[::-1] + change
        turns = other < stay
        best = np.where(turns, other, stay) + costs[number, 1:]
        plain = total + costs[number, NONE]
        divides = best < plain
        total = np.where(divides, best, plain)
        divided[number] = divides
        turned[number] = turns & divides
    kinds, late_at = np.zeros(count, dtype=np.intp), np.zeros(count, dtype=np.intp)
    kind, late = divmod(int(total.argmin()), width)
    for number in range(count - 1, -1, -1):
        kinds[number] = kind + 1 if divided[number, kind, late] else NONE
        late_at[number] = late
        if turned[number, kind, late]:
            kind = 1 - kind
        late = int(from_late[number, kind, late])
    return kinds, late_at
