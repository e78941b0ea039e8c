"""Cells learned at the pads, bar by bar, with no look ahead."""

from __future__ import annotations

from handgroove.groove.kit import Piece
from handgroove.groove.suggest.cell_model import CellStroke, Touch
from handgroove.groove.suggest.cell_styles import find_style
from handgroove.groove.suggest.learn_cell import LearnedCells
from handgroove.timeline import Metre, Timeline
from tests.groove.suggest.bars import HATS, A, bar

TIMELINE = Timeline.of(Metre(4, 4), 112, 16)


def play(cells: LearnedCells, bars: list[dict[Piece, str]]) -> list[list[CellStroke | None]]:
    """Play *bars* to *cells*; return what each place of each was asked to be."""
    asked: list[list[CellStroke | None]] = []
    for number, rows in enumerate(bars):
        here = TIMELINE.bar_at(number * 3840)
        asked.append([])
        for offset, struck in sorted(bar(rows).items()):
            asked[-1].append(cells.at(here.start_tick + offset, here, 112))
            for piece, stroke in zip(struck.pieces, struck.strokes, strict=True):
                cells.hear(here.start_tick + offset, piece, stroke)
    return asked


def test_the_first_bar_is_heard_and_the_second_has_its_cell() -> None:
    """While nothing is known there is no cell; from the second bar on there is that of the bars before."""
    first, second, *_ = play(LearnedCells(find_style("cell"), HATS), [A, A, A])
    assert first == [None] * len(first)
    touches = [stroke.touch for stroke in second if stroke]
    assert touches[0] is Touch.CHORD
    assert Touch.NOTHING in touches


def test_what_comes_later_changes_nothing_before() -> None:
    """The answer to a bar depends on the bars before it alone."""
    other = {Piece.CLOSED_HAT: "xxxXxxXx", Piece.SNARE: "....X...", Piece.KICK: ".x.X..X."}
    one = play(LearnedCells(find_style("cell"), HATS), [A, A, A, A])
    two = play(LearnedCells(find_style("cell"), HATS), [A, A, A, other])
    assert one[:3] == two[:3]


def test_a_new_groove_is_learned() -> None:
    """After some bars of another groove its own cell is asked."""
    other = {Piece.CLOSED_HAT: "xxxXxxXx", Piece.SNARE: "....X...", Piece.KICK: ".x.X..X."}
    asked = play(LearnedCells(find_style("cell"), HATS), [A, A, *[other] * 7])
    fresh = play(LearnedCells(find_style("cell"), HATS), [other] * 9)
    assert asked[8] == fresh[8]
