"""Grids: how a beat may be divided, what each division asks of a reader, and how well strokes lie on it."""

from __future__ import annotations

from handgroove.groove.hits import Feel
from handgroove.groove.meant.swing import straighten, swing, swings
from handgroove.metre import STEP, shift_ticks
from handgroove.timeline import Bar

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
TOGETHER_SEC = 0.035  # strokes of a hand nearer than this may be one chord
FALL_TOGETHER = 7.0


def grids_for(length_ticks: int, feel: Feel) -> tuple[Grid, ...]:
    """Return the grids to try for a beat of *length_ticks*."""
    if length_ticks == 1440:
        return _COMPOUND
    if length_ticks == 960:
        if not swings(feel):
            return _STRAIGHT
        return _SWUNG_EIGHTHS if feel.swing_unit_ticks == 480 else _SWUNG_SIXTEENTHS
    parts = [p for p in (1, 2, 3, 4, 6, 8) if length_ticks % (p * STEP) == 0]
    return tuple((part, False, index * 0.8) for index, part in enumerate(parts))


def score(
    onsets: list[tuple[int, int]],
    beat: tuple[int, int],
    bar: Bar,
    grid: Grid,
    feel: Feel,
    late: int,
    tick_sec: float,
) -> tuple[float, list[int]]:
    """Return the cost of putting *onsets* (tick, hands) on *grid*, and where each is written.

    *late* is by how many ticks the player is behind the beat just now.
    """
    (start, length), (parts, swung, cost) = beat, grid
    step = length // parts
    sharp = tick_sec / (0.010 + 0.022 * 960 * tick_sec)  # ticks to deviations of a player's scatter
    base = bar.start_tick - shift_ticks(bar)
    written: list[int] = []
    away: dict[int, tuple[int, float]] = {}
    last_at, last_tick, last_hands = -1, 0, 0
    for tick, hands in onsets:
        on_time = tick - late
        place = base + straighten(on_time - base, feel) if swung else on_time
        at = start + min(parts, max(0, round((place - start) / step))) * step
        off = (on_time - (base + swing(at - base, feel) if swung else at)) * sharp
        count, squares = away.get(at, (0, 0.0))
        away[at] = (count + 1, squares + off * off)
        if at == last_at and last_hands & hands and (tick - last_tick) * tick_sec > TOGETHER_SEC:
            cost += FALL_TOGETHER
        last_at, last_tick, last_hands = at, tick, hands
        written.append(at)
    # Strokes that fall together are one observation, however many keys they are.
    return cost + sum(squares / count / 2 for count, squares in away.values()), written
