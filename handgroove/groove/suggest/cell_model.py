"""What a comping cell is: a bar or two of strokes that a groove suggests and a hand keeps to.

A cell says where and how; pitches are the hand's. Offsets and lengths are in written ticks.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from handgroove.groove.hits import Stroke
from handgroove.groove.kit import Family, Piece


class Touch(StrEnum):
    """What a cell asks the hand to strike."""

    CHORD = "chord"
    PAIR = "pair"
    THUMB = "thumb"
    INNER = "inner voice"
    TOP = "top voice"
    NEIGHBOUR = "step above the top voice"
    NOTHING = "nothing"


WHOLE = frozenset({Touch.CHORD, Touch.PAIR})  # what is more than a light stroke


@dataclass(frozen=True, slots=True)
class CellStroke:
    """What the cell asks at one place: how it is touched, how long it rings at most, how loud beside its hit.

    *carrier* is the family whose hit brings it where none of the hand's own pieces is struck (None = they bring it).
    With *is_lifted* the chord is taken an inversion higher.
    """

    touch: Touch
    hold_ticks: int = 0
    loudness: float = 1.0
    carrier: Family | None = None
    is_lifted: bool = False


LEFT_TO_THE_CELL = CellStroke(Touch.NOTHING)


@dataclass(frozen=True, slots=True)
class Struck:
    """What falls on one place of a bar: each piece with how it is struck there."""

    pieces: tuple[Piece, ...] = ()
    strokes: tuple[Stroke, ...] = ()

    def add(self, piece: Piece, stroke: Stroke) -> Struck:
        """Return this with one more stroke."""
        return Struck((*self.pieces, piece), (*self.strokes, stroke))


BarStruck = Mapping[int, Struck]  # by offset in the bar


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell's *bars* (one or two): how each place that it asks for is touched, by offset."""

    bars: tuple[Mapping[int, Touch], ...] = field(default=({},))
