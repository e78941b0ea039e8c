"""Cells learned at the pads: from the bars that were played so far, with no look ahead.

Until a whole bar was heard there is no cell. Then each new bar is played by the cell of the last bars; what the drummer
strikes in it is not known yet, so the cell is laid over what usually is.
"""

from __future__ import annotations

from collections.abc import Mapping

from handgroove.groove.hits import Stroke
from handgroove.groove.kit import Piece
from handgroove.groove.suggest.cell_model import LEFT_TO_THE_CELL, BarStruck, CellStroke, Struck
from handgroove.groove.suggest.cell_styles import CellStyle
from handgroove.groove.suggest.find_cell import find_cell
from handgroove.groove.suggest.lay_bar import Ending, lay_bar
from handgroove.timeline import Bar

REMEMBERED_BARS = 4  # an even number, so that of two bars in turn the first stays the first


class LearnedCells:
    """Learns cells in *style* for a hand whose own pieces are those it *takes*; asked and told in order of time."""

    def __init__(self, style: CellStyle, takes: frozenset[Piece]) -> None:
        self._style, self._takes = style, takes
        self._bars: list[BarStruck] = []
        self._now: dict[int, Struck] = {}
        self._bar: Bar | None = None
        self._count = 0
        self._laid: Mapping[int, CellStroke] | None = None

    def at(self, place: int, bar: Bar, tempo_bpm: float) -> CellStroke | None:
        """Return what the cell asks at the written tick *place* in *bar* (None = none is known yet)."""
        if self._bar is None or bar.start_tick > self._bar.start_tick:
            self._begin(bar, tempo_bpm)
        return None if self._laid is None else self._laid.get(place - bar.start_tick, LEFT_TO_THE_CELL)

    def hear(self, place: int, piece: Piece, stroke: Stroke) -> None:
        """Take in a stroke on *piece*, meant at *place*."""
        if self._bar is not None:
            offset = place - self._bar.start_tick
            self._now[offset] = self._now.get(offset, Struck()).add(piece, stroke)

    def _begin(self, bar: Bar, tempo_bpm: float) -> None:
        """Begin *bar*: what was played before it says how it is comped."""
        before, played = self._bar, self._now
        self._bar, self._now = bar, {}
        if before is None or not played or before.number < 1:
            return
        if before.metre != bar.metre:
            self._bars.clear()
            self._laid, self._count = None, 0
            return
        self._bars.append(played)
        self._count += 1
        if len(self._bars) > REMEMBERED_BARS:
            del self._bars[:2]
        cell = find_cell(self._bars, bar.metre, tempo_bpm, self._style, self._takes)
        usual = self._bars[-2 if len(cell.bars) > 1 else -1]
        self._laid = lay_bar(
            cell,
            self._count,
            usual,
            self._style,
            self._takes,
            Ending.at(self._count),
            after_lift=Ending.at(self._count - 1) is Ending.LIFT,
        )
