"""Written positions from played ones: a search over beats for the grid that explains the strokes most simply.

For each beat every grid is tried (2, 3, 4, 6 or 8 to a quarter, in compound beats their own). A grid's cost is
how far the strokes lie from it, measured in a player's scatter, plus how much it asks of a reader, plus what
strokes cost that would fall together though they were played apart. A dynamic programme over the whole piece adds
a cost for changing between duple and triple grids, so that one late stroke does not make a triplet. The idea is
that of rhythm quantisation as a search (Cemgil, Desain and Kappen, "Rhythm quantization for transcription",
Computer Music Journal 24, 2000, from memory); the costs are our own.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass

from handgroove.groove.hits import Feel
from handgroove.output.score.metre import beats, shift_ticks
from handgroove.output.score.swing import straighten, swings
from handgroove.timeline import Bar, Timeline

# Grids as (parts of the beat, read through the swing, cost to a reader), by the beat's length in ticks.
Grid = tuple[int, bool, float]
_STRAIGHT: tuple[Grid, ...] = (
    (1, False, 0.0),
    (2, False, 0.7),
    (4, False, 1.5),
    (3, False, 3.0),
    (6, False, 5.5),
    (8, False, 7.0),
)
_SWUNG_EIGHTHS: tuple[Grid, ...] = (
    (1, True, 0.0),
    (2, True, 0.7),
    (3, False, 2.0),
    (4, True, 6.0),
    (4, False, 6.0),
    (6, False, 6.5),
)
_SWUNG_SIXTEENTHS: tuple[Grid, ...] = (
    (1, True, 0.0),
    (2, True, 0.7),
    (4, True, 1.5),
    (3, False, 3.5),
    (6, False, 5.5),
    (8, True, 7.0),
)
_COMPOUND: tuple[Grid, ...] = (
    (1, False, 0.0),
    (3, False, 0.7),
    (6, False, 1.5),
    (2, False, 4.0),
    (4, False, 6.0),
    (12, False, 7.0),
)
_CHANGE = 1.5  # from duple to triple or back
_TOGETHER_SEC = 0.035  # strokes of a hand nearer than this may be one chord
_FALL_TOGETHER = 7.0


def _grids(length_ticks: int, feel: Feel) -> tuple[Grid, ...]:
    if length_ticks == 1440:
        return _COMPOUND
    if length_ticks == 960:
        if not swings(feel):
            return _STRAIGHT
        return _SWUNG_EIGHTHS if feel.swing_unit_ticks == 480 else _SWUNG_SIXTEENTHS
    parts = [p for p in (1, 2, 4, 8, 16) if length_ticks % p == 0 and length_ticks // p >= 120]
    parts += [
        length_ticks // s for s in (480, 240, 120) if length_ticks % s == 0 and length_ticks // s not in parts
    ]
    return tuple((part, False, index * 0.8) for index, part in enumerate(parts))


def _score(
    onsets: list[tuple[int, int]], beat: tuple[int, int], bar: Bar, grid: Grid, feel: Feel, tick_sec: float
) -> tuple[float, list[int]]:
    """Return the cost of putting *onsets* (tick, hands) on *grid*, and where each is written."""
    (start, length), (parts, swung, cost) = beat, grid
    step = length // parts
    scatter_sec = 0.010 + 0.022 * 960 * tick_sec
    base = bar.start_tick - shift_ticks(bar)
    written: list[int] = []
    taken: dict[int, tuple[int, int]] = {}
    for tick, hands in onsets:
        place = base + straighten(tick - base, feel) if swung else tick
        at = start + min(parts, max(0, round((place - start) / step))) * step
        cost += ((place - at) * tick_sec / scatter_sec) ** 2 / 2
        if at in taken:
            before, others = taken[at]
            if others & hands and (tick - before) * tick_sec > _TOGETHER_SEC:
                cost += _FALL_TOGETHER
        taken[at] = (tick, hands)
        written.append(at)
    return cost, written


@dataclass(frozen=True, slots=True)
class _Path:
    """The cheapest way of writing the music so far: its last beat's *pairs* (played, written) and the way before."""

    cost: float
    before: _Path | None = None
    pairs: tuple[tuple[int, int], ...] = ()


def written_ticks(onsets: Mapping[int, int], timeline: Timeline, feel: Feel, end_tick: int) -> dict[int, int]:
    """Return the written tick for each played tick in *onsets* (tick to a mask of the hands that strike there)."""
    ticks = sorted(onsets)
    paths = {False: _Path(0.0), True: _Path(0.0)}  # by whether the last divided beat was in triplets
    at = 0
    while at < end_tick:
        bar = timeline.bar_at(at)
        tick_sec = 60 / timeline.tempo_at(at) / 960
        for start, length in beats(bar):
            inside = [
                (t, onsets[t]) for t in ticks[bisect_left(ticks, start) : bisect_left(ticks, start + length)]
            ]
            if inside:
                paths = _step(paths, inside, (start, length), bar, feel, tick_sec)
        at = bar.end_tick
    path: _Path | None = min(paths.values(), key=lambda p: p.cost)
    result: dict[int, int] = {}
    while path:
        result.update(path.pairs)
        path = path.before
    return result


def _step(
    paths: dict[bool, _Path],
    inside: list[tuple[int, int]],
    beat: tuple[int, int],
    bar: Bar,
    feel: Feel,
    tick_sec: float,
) -> dict[bool, _Path]:
    """Return the best path to each kind of grid (in triplets or not) after one more beat."""
    best: dict[bool, _Path] = {}
    for grid in _grids(beat[1], feel):
        cost, written = _score(inside, beat, bar, grid, feel, tick_sec)
        triple = grid[0] % 3 == 0 and beat[1] == 960
        pairs = tuple(zip((tick for tick, _ in inside), written, strict=True))
        for before, path in paths.items():
            changed = _CHANGE if before != triple and grid[0] > 1 and not swings(feel) else 0.0
            kind = before if grid[0] == 1 else triple
            total = path.cost + cost + changed
            if kind not in best or total < best[kind].cost:
                best[kind] = _Path(total, path, pairs)
    return best
