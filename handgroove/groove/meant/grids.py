"""Grids: how a beat may be divided, and what each division asks of a reader."""

from __future__ import annotations

from handgroove.groove.hits import Feel
from handgroove.groove.meant.swing import swings
from handgroove.metre import STEP

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
