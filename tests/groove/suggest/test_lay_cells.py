"""Cells over a whole groove: by section, by phrase, and not where figures are."""

from __future__ import annotations

import handgroove
from handgroove.desk.desk import Desk
from handgroove.groove.suggest.cell_model import LEFT_TO_THE_CELL, WHOLE, Touch
from handgroove.groove.suggest.lay_cells import LaidCells
from tests.styles import every_hat

PATTERN = handgroove.read_pattern("straight eighths")
BAR = 3840


def cells_of(chart: str, bars: int = 16) -> LaidCells:
    """Return the cells of straight eighths over *chart*."""
    cells = Desk(PATTERN.groove(bars), handgroove.parse_chart(chart)).cells
    assert cells is not None
    return cells


def lifted_bars(cells: LaidCells) -> set[int]:
    """Return the numbers (from 1) of bars whose end is lifted."""
    return {place // BAR + 1 for place, stroke in cells.strokes.items() if stroke.touch is Touch.NEIGHBOUR}


def test_phrases_are_counted_from_where_the_section_begins() -> None:
    """Sections of four bars lift each end; without sections the eighth bar does, and the last."""
    four = "| Am7 | Fmaj7 | C | G |"
    assert lifted_bars(cells_of(f"[Verse]\n{four}\n[Chorus]\n{four}\n[Bridge]\n{four}\n[Verse]\n{four}")) == {
        4,
        8,
        12,
        16,
    }
    assert lifted_bars(cells_of(four)) == {8, 16}


def test_the_hand_rests_from_cells_where_figures_are() -> None:
    """Between the first and the last stroke of a fill's figure the cell asks nothing, and goes on until it begins."""
    desk = Desk(PATTERN.groove(8, fills={4: "down the toms"}), handgroove.parse_chart("| Am7 | G7 |"))
    cells = desk.cells
    assert cells is not None
    sung = [item.meant for item in desk.figures.asked]
    assert sung
    inside = [place for place in cells.strokes if min(sung) <= place <= max(sung)]
    assert inside == []
    assert any(place < min(sung) for place in cells.strokes)


def test_without_cells_nothing_is_laid() -> None:
    """In style every hat there are none."""
    assert Desk(PATTERN.groove(8), None, every_hat()).cells is None


def test_what_comes_again_is_asked_again() -> None:
    """With a round the cell of bar 9 is that of bar 1, from wherever it starts; elsewhere strokes are left out."""
    cells = cells_of("| Am7 |", 8)
    bar = handgroove.read_pattern("straight eighths").groove(1).timeline.bar_at(0)
    again = LaidCells(cells.strokes, round_ticks=8 * BAR, start_tick=5)
    assert again.at(8 * BAR + 5, bar, 112) == cells.at(0, bar, 112)
    assert cells.at(0, bar, 112).touch in WHOLE
    assert cells.at(1, bar, 112) is LEFT_TO_THE_CELL
