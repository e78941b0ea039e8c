"""Cells are found in what the drummer leans on."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.groove.kit import Piece
from handgroove.groove.suggest.cell_model import WHOLE, Touch
from handgroove.groove.suggest.cell_styles import STYLES, find_style
from handgroove.groove.suggest.find_cell import find_cell
from handgroove.groove.suggest.leaning import is_accented, leans
from handgroove.timeline import Metre
from tests.groove.suggest.bars import HATS, A, bar

CELL = find_style("cell")
FOUR = Metre(4, 4)


def test_straight_eighths_with_a_push_give_the_rock_cell() -> None:
    """Chord on 1, on the kick's 2& and on the backbeat 4; the thumb leads into each; 1& and 3 are left to ring."""
    (cell,) = find_cell([bar(A)] * 4, FOUR, 112, CELL, HATS).bars
    assert {offset // 480: touch for offset, touch in cell.items()} == {
        0: Touch.CHORD,
        2: Touch.THUMB,
        3: Touch.CHORD,
        5: Touch.THUMB,
        6: Touch.CHORD,
        7: Touch.THUMB,
    }


def test_another_kick_gives_another_cell() -> None:
    """A kick that pushes elsewhere is answered there."""
    other = {**A, Piece.KICK: "Xx...x.."}
    (first,) = find_cell([bar(A)] * 4, FOUR, 112, CELL, HATS).bars
    (second,) = find_cell([bar(other)] * 4, FOUR, 112, CELL, HATS).bars
    assert first != second
    assert second[5 * 480] is Touch.CHORD


def test_what_hats_do_in_every_beat_is_pulse() -> None:
    """A foot that marks each upbeat takes no chord from the kick on the beats; one that marks 3& alone gets it."""
    found = []
    for foot in (".X.X.X.X", ".....X.."):
        rows = {Piece.KICK: "X.X.X.X.", Piece.PEDAL_HAT: foot}
        (cell,) = find_cell([bar(rows)] * 4, FOUR, 100, CELL, HATS).bars
        found.append({offset // 480 for offset, touch in cell.items() if touch in WHOLE})
    assert found[0] < {0, 2, 4, 6}
    assert 5 in found[1]


def test_chords_are_led_into_from_where_the_drummer_leans() -> None:
    """Of a plain hat an eighth before and a kick a sixteenth before the chord the kick leads."""
    rows = {
        Piece.CLOSED_HAT: "x.x.x.x.x.x.X.x.",
        Piece.SNARE: "............X...",
        Piece.KICK: "X..........xX...",
    }
    (cell,) = find_cell([bar(rows, 240)] * 4, FOUR, 90, CELL, HATS).bars
    assert cell[12 * 240] in WHOLE
    assert cell[11 * 240] not in WHOLE
    assert 10 * 240 not in cell


def test_two_bars_in_turn_are_a_cell_of_two() -> None:
    """Where odd and even bars differ by much, the cell has both; where they are alike, one."""
    other = {Piece.CLOSED_HAT: "xxxXxxXx", Piece.SNARE: "....X...", Piece.KICK: ".x.X..X."}
    assert len(find_cell([bar(A), bar(other)] * 2, FOUR, 112, CELL, HATS).bars) == 2
    assert len(find_cell([bar(A)] * 4, FOUR, 112, CELL, HATS).bars) == 1


@pytest.mark.parametrize("busy", ["spare", "medium", "busy"])
def test_busier_is_more(busy: str) -> None:
    """A spare cell has fewer strokes than the medium one, a busy one no fewer chords."""
    medium = find_cell([bar(A)], FOUR, 112, CELL, HATS).bars[0]
    cell = find_cell([bar(A)], FOUR, 112, find_style("cell", busy), HATS).bars[0]  # type: ignore[arg-type]
    chords = sum(touch in WHOLE for touch in cell.values())
    if busy == "spare":
        assert len(cell) < len(medium)
    else:
        assert chords >= sum(touch in WHOLE for touch in medium.values())


_ROW = st.text("Xxg..", min_size=14, max_size=14)


@settings(max_examples=150, deadline=None)
@given(
    hat=_ROW,
    snare=_ROW,
    kick=_ROW,
    style=st.sampled_from(sorted(STYLES)),
    metre=st.sampled_from([Metre(4, 4), Metre(3, 4), Metre(6, 8), Metre(12, 8), Metre(5, 4), Metre(7, 8)]),
    tempo=st.sampled_from([60.0, 112.0, 190.0, 290.0]),
)
def test_a_cell_only_asks_where_the_drummer_strikes(
    hat: str, snare: str, kick: str, style: str, metre: Metre, tempo: float
) -> None:
    """In every metre, tempo and style each stroke stands on a place that is struck, chords far enough apart to play."""
    rows = {Piece.CLOSED_HAT: hat, Piece.SNARE: snare, Piece.KICK: kick}
    struck = {offset: place for offset, place in bar(rows).items() if offset < metre.bar_ticks}
    (cell, *_) = find_cell([struck], metre, tempo, find_style(style), HATS).bars
    assert cell.keys() <= struck.keys()
    chords = [offset for offset, touch in cell.items() if touch in WHOLE]
    assert all(b - a >= 0.2 * tempo * 16 for a, b in pairwise(chords))


@settings(max_examples=100, deadline=None)
@given(hat=_ROW, kick=_ROW)
def test_most_accents_are_answered_and_chords_lean(hat: str, kick: str) -> None:
    """Over a hat in eighths at 112 at least 60% of its accents get a stroke, and chords stand where it leans."""
    struck = {o: place for o, place in bar({Piece.CLOSED_HAT: hat, Piece.KICK: kick}).items() if o < 3840}
    (cell,) = find_cell([struck], FOUR, 112, CELL, HATS).bars
    accents = {offset for offset, place in struck.items() if is_accented(place)}
    assert len(accents & cell.keys()) >= 0.6 * len(accents)
    if any(leans(place) for place in struck.values()):
        assert any(leans(struck[offset]) for offset, touch in cell.items() if touch in WHOLE)
