"""Written positions from played ones: a search over beats for the grid that explains the strokes most simply.

For each beat every grid is tried (2, 3, 4, 6 or 8 to a quarter, in compound beats their own). A grid's cost is
how far the strokes lie from it, measured in a player's scatter, plus how much it asks of a reader, plus what
strokes cost that would fall together though they were played apart. A dynamic programme over the whole piece adds
a cost for changing between duple and triple grids, so that one late stroke does not make a triplet, and follows a
player who drifts before or behind the beat. The idea is
that of rhythm quantisation as a search (Cemgil, Desain and Kappen, "Rhythm quantization for transcription",
Computer Music Journal 24, 2000, from memory); the costs are our own.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass

from handgroove.groove.hits import Feel
from handgroove.groove.meant.grids import grids_for, score
from handgroove.groove.meant.swing import straighten, swings
from handgroove.metre import beats, shift_ticks
from handgroove.timeline import Bar, Timeline

_CHANGE = 1.5  # from duple to triple or back
_LATES = (-120, -80, -40, 0, 40, 80, 120)  # how far behind the beat a player may drift, in ticks
_DRIFT = 0.7  # for each step that the player drifts from one beat to the next
_LATE = 0.004  # for each tick and beat
_EXACT_TICKS = 14
_HOPELESS = 5.0  # a way so much dearer than the best is not followed

_State = tuple[bool, int]  # whether the last divided beat was in triplets, and which of the lates held


@dataclass(frozen=True, slots=True)
class _Path:
    """The cheapest way of writing the music so far: its last beat's *pairs* (played, written) and the way before."""

    cost: float
    before: _Path | None = None
    pairs: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class _Try:
    """One way of writing a beat: its cost, whether in triplets (None = undivided), which late, and its pairs."""

    cost: float
    triple: bool | None
    late_index: int
    pairs: tuple[tuple[int, int], ...]


def written_ticks(onsets: Mapping[int, int], timeline: Timeline, feel: Feel, end_tick: int) -> dict[int, int]:
    """Return the written tick for each played tick in *onsets* (tick to a mask of the hands that strike there)."""
    ticks = sorted(onsets)
    lates = (0,) if _is_exact(ticks, timeline, feel) else _LATES
    paths = {(False, lates.index(0)): _Path(0.0)}
    at = 0
    while at < end_tick:
        bar = timeline.bar_at(at)
        tick_sec = 60 / timeline.tempo_at(at) / 960
        for start, length in beats(bar):
            span = ticks[bisect_left(ticks, start) : bisect_left(ticks, start + length)]
            if span:
                near = {index + step for _, index in paths for step in (-1, 0, 1)}
                reach = [(index, late) for index, late in enumerate(lates) if index in near]
                tries = _tries([(t, onsets[t]) for t in span], (start, length), bar, feel, reach, tick_sec)
                paths = _keep_likely(_step(paths, tries, loose=swings(feel)))
        at = bar.end_tick
    path: _Path | None = min(paths.values(), key=lambda p: p.cost)
    result: dict[int, int] = {}
    while path:
        result.update(path.pairs)
        path = path.before
    return result


def _is_exact(ticks: list[int], timeline: Timeline, feel: Feel) -> bool:
    """Return whether nearly all *ticks* lie on a grid as if a machine had put them there."""
    near = 0
    for tick in ticks:
        bar = timeline.bar_at(tick)
        offset = tick - bar.start_tick + shift_ticks(bar)
        even = straighten(offset, feel) if swings(feel) else offset
        near += (
            min(abs(even - round(even / 240) * 240), abs(offset - round(offset / 160) * 160)) <= _EXACT_TICKS
        )
    return near >= 0.95 * len(ticks)


def _tries(
    inside: list[tuple[int, int]],
    beat: tuple[int, int],
    bar: Bar,
    feel: Feel,
    lates: list[tuple[int, int]],
    tick_sec: float,
) -> list[_Try]:
    """Return every way of writing one beat: each grid, with each of *lates* (index and ticks behind the beat)."""
    tries = []
    for grid in grids_for(beat[1], feel):
        triple = None if grid[0] == 1 else grid[0] % 3 == 0 and beat[1] == 960
        for index, late in lates:
            cost, written = score(inside, beat, bar, grid, feel, late, tick_sec)
            pairs = tuple(zip((tick for tick, _ in inside), written, strict=True))
            tries.append(_Try(cost + _LATE * abs(late), triple, index, pairs))
    return tries


def _step(paths: dict[_State, _Path], tries: list[_Try], *, loose: bool) -> dict[_State, _Path]:
    """Return the best path to each state after one more beat; *loose* where triplets may come and go freely."""
    best: dict[_State, _Path] = {}
    for way in tries:
        for (triple, index), path in paths.items():
            drift = abs(way.late_index - index)
            if drift > 1:
                continue
            total = path.cost + way.cost + drift * _DRIFT
            if way.triple is not None and way.triple != triple and not loose:
                total += _CHANGE
            state = (triple if way.triple is None else way.triple, way.late_index)
            if state not in best or total < best[state].cost:
                best[state] = _Path(total, path, way.pairs)
    return best


def _keep_likely(paths: dict[_State, _Path]) -> dict[_State, _Path]:
    """Return the paths that may still turn out cheapest."""
    most = min(path.cost for path in paths.values()) + _HOPELESS
    return {state: path for state, path in paths.items() if path.cost <= most}
