"""Bars written as rows, for the tests of cells."""

from __future__ import annotations

from handgroove.groove.hits import Stroke
from handgroove.groove.kit import Piece
from handgroove.groove.suggest.cell_model import BarStruck, Struck

_STROKES = {"X": Stroke.ACCENT, "x": Stroke.NORMAL, "g": Stroke.GHOST}
HATS = frozenset({Piece.CLOSED_HAT, Piece.OPEN_HAT})
A = {Piece.CLOSED_HAT: "XxXxXxXx", Piece.SNARE: "..X...X.", Piece.KICK: "X..xX..x"}


def bar(rows: dict[Piece, str], step_ticks: int = 480) -> BarStruck:
    """Return the bar that *rows* write, a sign for every *step_ticks*."""
    found: dict[int, Struck] = {}
    for piece, row in rows.items():
        for step, sign in enumerate(row):
            if sign in _STROKES:
                offset = step * step_ticks
                found[offset] = found.get(offset, Struck()).add(piece, _STROKES[sign])
    return found
