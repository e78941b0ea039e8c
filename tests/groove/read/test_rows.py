"""Grooves as text, read."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handgroove.groove.hits import Groove, Hit, Stroke
from handgroove.groove.kit import GENERAL_MIDI, Piece
from handgroove.groove.know.levels import find_levels
from handgroove.groove.read.rows import NOTE_OF, OPENED, STRUCK, GridHit, parse_rows
from handgroove.groove.read.steps import Grid
from handgroove.timeline import Metre, Timeline

EIGHTHS = Grid(Metre(4, 4), 2)


def ticks(text: str, name: str = "snare", grid: Grid = EIGHTHS) -> list[int]:
    """Return the ticks of a row's hits; the row must be right."""
    hits, _, faults = parse_rows({name: text}, grid)
    assert faults == []
    return [hit.tick for hit in hits]


def test_a_row_is_read_step_by_step() -> None:
    """Each character is a step, and says how hard the stroke is."""
    hits, bars, faults = parse_rows({"snare": "..X.g.x."}, EIGHTHS)
    assert (bars, faults) == (1, [])
    assert hits == [
        GridHit(960, Piece.SNARE, 112),
        GridHit(1920, Piece.SNARE, 38),
        GridHit(2880, Piece.SNARE, 80),
    ]


def test_the_hat_row_opens() -> None:
    """On the hat's row an o is an open stroke; the foot's hat has a row of its own."""
    hits, _, _ = parse_rows({"hat": "xoXO....", "pedal hat": "....x..."}, EIGHTHS)
    assert [hit.piece for hit in hits] == [
        Piece.CLOSED_HAT,
        Piece.OPEN_HAT,
        Piece.CLOSED_HAT,
        Piece.OPEN_HAT,
        Piece.PEDAL_HAT,
    ]


@pytest.mark.parametrize(
    "text",
    [
        "x.......|..x.....",
        "x....... ..x.....",
        "x. .. .. .. | .. x. .. ..",
        "x. .. .. .. .. x. .. ..",
        "x . . . . . . . . . x . . . . .",
        " |x.......|..x.....| ".strip(),
        "x.......   ..x.....",
    ],
)
def test_bars_are_parted_by_signs_or_spaces(text: str) -> None:
    """Bar signs, spaces between bars and spaces between beats all read alike."""
    assert ticks(text) == [0, 3840 + 960]


def test_a_percent_sign_repeats_the_bar_before() -> None:
    """A % stands for a whole bar, with or without bar signs around it."""
    assert ticks("x....... | % | %") == ticks("x....... % %") == [0, 3840, 7680]


def test_swing_bends_rows() -> None:
    """A swung grid puts the offbeats late."""
    from handgroove.groove.hits import Feel

    assert ticks("xx......", grid=Grid(Metre(4, 4), 2, Feel(2, 480))) == [0, 640]


@pytest.mark.parametrize(
    ("rows", "said", "offset"),
    [
        ({"snare": "x......"}, "expected 8 steps in bar 1 (4/4, 2 to a beat), got 7", 0),
        ({"snare": "x....... x......."[:-1]}, "expected 8 steps in bar 2 (4/4, 2 to a beat), got 7", 9),
        ({"snare": "x........ x......."}, "expected 8 steps in bar 1 (4/4, 2 to a beat), got 9", 0),
        ({"snare": "x... | x......."}, "expected 8 steps in bar 1 (4/4, 2 to a beat), got 4", 0),
        ({"snare": "x..-...."}, "expected '.', 'g', 'x' or 'X', got '-'", 3),
        ({"hat": "x..q...."}, "expected '.', 'g', 'x', 'X', 'o' or 'O', got 'q'", 3),
        ({"snare": "x..o...."}, "expected '.', 'g', 'x' or 'X', got 'o'", 3),
        ({"snare": "% | x......."}, "expected a bar before '%', which repeats it", 0),
        ({"snare": "x..%...."}, "expected '%' alone in its bar", 3),
        ({"snare": ""}, "expected at least one bar, got an empty row", 0),
        ({"snair": "x......."}, "expected the name of a drum or cymbal, got 'snair'", 0),
        (
            {"hat": "x....... x.......", "kick": "x......."},
            "expected 2 bars as in the row 'hat', got 1",
            0,
        ),
    ],
)
def test_wrong_rows_are_told_with_the_place(rows: dict[str, str], said: str, offset: int) -> None:
    """Every fault names the row, what was expected and got, and how many characters in."""
    _, _, faults = parse_rows(rows, EIGHTHS)
    assert [(fault.name, fault.text, fault.offset) for fault in faults] == [(list(rows)[-1], said, offset)]


@given(
    st.dictionaries(
        st.sampled_from(["hat", "snare", "tom", "kick"]), st.text(".gxXoO%| q", max_size=40), max_size=4
    )
)
def test_any_rows_are_read_or_told_wrong(rows: dict[str, str]) -> None:
    """Whatever is written, rows give hits that lie within their bars, or faults within their text."""
    hits, bars, faults = parse_rows(rows, EIGHTHS)
    assert all(0 <= fault.offset <= len(rows[fault.name]) for fault in faults)
    if not faults:
        assert all(0 <= hit.tick < bars * 3840 for hit in hits)


@pytest.mark.parametrize("char", STRUCK)
def test_written_strokes_are_heard_as_what_they_are(char: str) -> None:
    """A row's ghosts, strokes and accents are classified as such again by their loudness."""
    hits, _, _ = parse_rows({"snare": f"{char}gxX gxgX" * 2}, EIGHTHS)
    groove = Groove(
        tuple(Hit(hit.tick, hit.piece, hit.velocity) for hit in hits), Timeline.of(Metre(4, 4), 100, 2)
    )
    assert find_levels(groove).stroke(groove.hits[0]) is STRUCK[char][0]


def test_open_strokes_are_strokes_and_accents() -> None:
    """An o is as loud as a stroke, an O as an accent."""
    assert [OPENED[char][0] for char in "oO"] == [Stroke.NORMAL, Stroke.ACCENT]


def test_every_piece_has_a_note_of_its_own() -> None:
    """Each piece is written as a note that the general map reads back as that piece."""
    assert set(NOTE_OF) == set(Piece)
    assert all(GENERAL_MIDI.pieces[note] is piece for piece, note in NOTE_OF.items())
