"""A cell's bars as they are played."""

from __future__ import annotations

from handgroove.groove.kit import Family, Piece
from handgroove.groove.suggest.cell_model import WHOLE, Cell, Touch
from handgroove.groove.suggest.cell_styles import find_style
from handgroove.groove.suggest.find_cell import find_cell
from handgroove.groove.suggest.lay_bar import Ending, lay_bar
from handgroove.timeline import Metre
from tests.groove.suggest.bars import HATS, A, bar

STYLE = find_style("cell")
CELL = find_cell([bar(A)] * 4, Metre(4, 4), 112, STYLE, HATS)


def laid(number: int, rows: dict[Piece, str] = A, ending: Ending = Ending.NONE) -> dict[int, Touch]:
    """Return how the bar's eighths are touched."""
    strokes = lay_bar(CELL, number, bar(rows), STYLE, HATS, ending)
    return {offset // 480: stroke.touch for offset, stroke in strokes.items()}


def test_eight_bars_have_at_least_three_that_differ() -> None:
    """The fourth bar turns its end, the eighth lifts it, and the others are the cell."""
    bars = [tuple(sorted(laid(n, ending=Ending.at(n)).items())) for n in range(8)]
    assert len(set(bars)) == 3
    assert bars[0] == bars[1] == bars[2] == bars[4]
    assert len({bars[0], bars[3], bars[7]}) == 3


def test_a_lifted_end_rises_by_a_step_and_an_inversion() -> None:
    """The stroke that leads into the last chord is a step above the top, the chord is lifted, and nothing follows."""
    strokes = lay_bar(CELL, 7, bar(A), STYLE, HATS, Ending.LIFT)
    assert strokes[2400].touch is Touch.NEIGHBOUR
    assert strokes[2880].is_lifted
    assert max(strokes) == 2880


def test_a_place_that_the_drummer_leaves_out_is_left_out() -> None:
    """Without a stroke on 2& there is none in the hand; without a lean on a chord's place it is a light stroke."""
    silent = {Piece.CLOSED_HAT: "XxX.XxXx", Piece.SNARE: "..X...X.", Piece.KICK: "X...X..x"}
    assert 3 not in laid(0, silent)
    plain = {Piece.CLOSED_HAT: "XxXxXxXx", Piece.SNARE: "..X...X.", Piece.KICK: "X...X..x"}
    assert laid(0, plain)[3] not in WHOLE


def test_no_chord_beside_a_crash() -> None:
    """The crash has both hands' chord: at its place and just after it the cell has none."""
    crash = {**A, Piece.CRASH: "X......."}
    assert 0 not in laid(0, crash)


def test_kick_and_snare_bring_the_cell_where_no_hat_is() -> None:
    """Each place says which family brings its stroke; a hat brings its own."""
    bare = {Piece.SNARE: "..X...X.", Piece.KICK: "X..xX..x"}
    cell = find_cell([bar(bare)], Metre(4, 4), 112, STYLE, HATS)
    carriers = {o // 480: s.carrier for o, s in lay_bar(cell, 0, bar(bare), STYLE, HATS, Ending.NONE).items()}
    assert carriers[0] is Family.KICK
    assert all(carrier is not None for carrier in carriers.values())
    assert lay_bar(CELL, 0, bar(A), STYLE, HATS, Ending.NONE)[0].carrier is None


def test_loudness_follows_the_phrase() -> None:
    """Where a kit gives one velocity for all, bars of a phrase still differ, and light strokes are lighter."""
    firsts = [lay_bar(CELL, n, bar(A), STYLE, HATS, Ending.NONE)[0].loudness for n in range(4)]
    assert len(set(firsts)) == 4
    one = lay_bar(CELL, 0, bar(A), STYLE, HATS, Ending.NONE)
    assert one[960].loudness < 0.7 * one[0].loudness


def test_no_chord_just_before_the_next_bars_crash() -> None:
    """A chord that a crash of the next bar follows at once is a light stroke; one farther off stays."""
    late = Cell(({0: Touch.CHORD, 7 * 480: Touch.CHORD},))
    for ahead, touch in ((3840, Touch.INNER), (3840 + 480, Touch.CHORD)):
        strokes = lay_bar(late, 0, bar(A), STYLE, HATS, Ending.NONE, crashes_ahead=[ahead])
        assert strokes[7 * 480].touch is touch


def test_ends_differ_in_rhythm_wherever_the_chords_are() -> None:
    """Where the last chord is early, or nothing comes after it, fourth and eighth bars still differ from the rest."""
    early = {0: Touch.CHORD, 480: Touch.THUMB, 960: Touch.CHORD, 2400: Touch.THUMB, 2880: Touch.THUMB}
    late = {0: Touch.CHORD, 960: Touch.THUMB, 1440: Touch.CHORD, 2400: Touch.THUMB, 2880: Touch.CHORD}
    for cell in (Cell((early,)), Cell((late,))):
        ends = set()
        for ending in Ending:
            strokes = lay_bar(cell, 0, bar(A), STYLE, HATS, ending)
            ends.add(tuple((offset, stroke.touch in WHOLE) for offset, stroke in sorted(strokes.items())))
        assert len(ends) == 3
