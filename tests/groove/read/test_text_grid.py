"""Grooves as text, written, and read back."""

from __future__ import annotations

from random import Random

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from handgroove.groove.hits import Feel, Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.groove.read.rows import NOTE_OF, OPENED, STRUCK, GridHit, parse_rows
from handgroove.groove.read.steps import Grid
from handgroove.groove.read.text_grid import choose_steps, format_count, format_feel, format_grid
from handgroove.timeline import Metre, MetreChange, TempoChange, Timeline

COMMON = Metre(4, 4)


def make_groove(hits: list[tuple[int, Piece, int]], timeline: Timeline, feel: Feel = Feel()) -> Groove:  # noqa: B008
    """Make a groove of (tick, piece, velocity)."""
    made = [Hit(tick, piece, velocity, NOTE_OF[piece]) for tick, piece, velocity in hits]
    return Groove(tuple(sorted(made, key=lambda hit: hit.order)), timeline, feel=feel)


def read_back(text: str, grid: Grid) -> list[GridHit]:
    """Parse a formatted groove as a pattern file would."""
    blocks = yaml.safe_load(text)
    hits, bars = [], 0
    for rows in blocks if isinstance(blocks, list) else [blocks]:
        found, length, faults = parse_rows(rows, grid)
        assert faults == []
        hits += [GridHit(hit.tick + bars * grid.metre.bar_ticks, hit.piece, hit.velocity) for hit in found]
        bars += length
    return sorted(hits, key=lambda hit: (hit.tick, hit.piece))


def test_a_groove_reads_as_a_drummer_writes_it() -> None:
    """Cymbals stand above drums, beats are spaced, bars have signs between them."""
    hits = [(i * 480, Piece.CLOSED_HAT, 112 if i % 2 == 0 else 80) for i in range(15)]
    hits += [(7200, Piece.OPEN_HAT, 84), (0, Piece.KICK, 112), (3840, Piece.KICK, 80)]
    hits += [(960, Piece.SNARE, 112), (1680, Piece.SNARE, 38)]
    assert format_grid(make_groove(hits, Timeline.of(COMMON, 112, 2))) == (
        "hat:   X.x. X.x. X.x. X.x. | X.x. X.x. X.x. X.o.\n"
        "snare: .... X..g .... .... | .... .... .... ....\n"
        "kick:  X... .... .... .... | x... .... .... ....\n"
    )


_METRES = st.sampled_from([COMMON, Metre(3, 4), Metre(5, 4), Metre(6, 8), Metre(7, 8), Metre(12, 8)])
_PIECES = st.sampled_from([p for p in Piece if p not in (Piece.OPEN_HAT, Piece.CLOSED_HAT)])


@st.composite
def _written(draw: st.DrawFn) -> tuple[Grid, int, list[GridHit]]:
    metre = draw(_METRES)
    steps = draw(st.sampled_from([3, 6] if metre.is_compound else [1, 2, 3, 4, 6]))
    grid = Grid(metre, steps, draw(st.sampled_from([Feel(), Feel(2, 480), Feel(1.5, 240), Feel(3, 240)])))
    if grid.faults:
        grid = Grid(metre, steps)
    bars = draw(st.integers(1, 5))
    cells = st.tuples(st.integers(0, bars * grid.steps_per_bar - 1), _PIECES)
    struck = draw(st.dictionaries(cells, st.sampled_from("gxX"), max_size=30))
    hats = draw(
        st.dictionaries(st.integers(0, bars * grid.steps_per_bar - 1), st.sampled_from("gxXoO"), max_size=20)
    )
    hits = [GridHit(grid.tick(step), piece, STRUCK[char][1]) for (step, piece), char in struck.items()]
    for step, char in hats.items():
        piece = Piece.OPEN_HAT if char in OPENED else Piece.CLOSED_HAT
        hits.append(GridHit(grid.tick(step), piece, (OPENED.get(char) or STRUCK[char])[1]))
    return grid, bars, sorted(hits, key=lambda hit: (hit.tick, hit.piece))


@given(_written())
def test_what_is_written_reads_back_the_same(written: tuple[Grid, int, list[GridHit]]) -> None:
    """Any hits on a grid, in any metre and feel, are the same hits again after writing and reading."""
    grid, bars, hits = written
    timeline = Timeline.of(grid.metre, 100, bars)
    groove = make_groove([(hit.tick, hit.piece, hit.velocity) for hit in hits], timeline, grid.feel)
    assert read_back(format_grid(groove, steps_per_beat=grid.steps_per_beat), grid) == hits


@given(_written(), st.randoms(use_true_random=False))
def test_human_timing_is_written_on_the_nearest_step(
    written: tuple[Grid, int, list[GridHit]], random: Random
) -> None:
    """Hits up to a quarter of a step early or late are written where they were meant."""
    grid, bars, hits = written
    loose = min(grid.step_ticks, grid.feel.swing_unit_ticks // 2) // 5
    moved = [(max(0, hit.tick + random.randint(-loose, loose)), hit.piece, hit.velocity) for hit in hits]
    groove = make_groove(moved, Timeline.of(grid.metre, 100, bars), grid.feel)
    assert read_back(format_grid(groove, steps_per_beat=grid.steps_per_beat), grid) == hits


@pytest.mark.parametrize(
    ("ticks", "metre", "steps"),
    [
        ([0, 960, 1920, 2880], COMMON, 1),
        ([0, 480, 960, 1440], COMMON, 2),
        ([0, 320, 640, 960], COMMON, 3),
        ([0, 240, 960, 1680], COMMON, 4),
        ([0, 160, 320, 480, 640, 800], COMMON, 6),
        ([0, 480, 960, 1440], Metre(6, 8), 3),
        ([0, 240, 480, 1440], Metre(6, 8), 6),
        ([10, 470, 968, 1431], COMMON, 2),
    ],
)
def test_the_fewest_steps_that_fit_are_chosen(ticks: list[int], metre: Metre, steps: int) -> None:
    """The grid is as coarse as the hits allow, human timing allowed for."""
    groove = make_groove([(tick, Piece.SNARE, 80) for tick in ticks], Timeline.of(metre, 100, 1))
    assert choose_steps(groove) == steps


def test_a_hit_before_the_bar_line_belongs_to_the_next_bar() -> None:
    """A kick a hair early on 1 is written on 1, even past the last bar."""
    groove = make_groove([(3830, Piece.KICK, 80)], Timeline.of(COMMON, 100, 1))
    assert format_grid(groove, steps_per_beat=2) == "kick: .. .. .. .. | x. .. .. ..\n"


def test_a_pickup_is_the_end_of_a_bar() -> None:
    """An incomplete first bar is written as a whole one that begins with rests."""
    timeline = Timeline(end_tick=960 + 3840, pickup_ticks=960)
    groove = make_groove([(0, Piece.SNARE, 80), (480, Piece.SNARE, 80), (960, Piece.KICK, 112)], timeline)
    assert format_grid(groove, steps_per_beat=2) == (
        "snare: .. .. .. xx | .. .. .. ..\nkick:  .. .. .. .. | X. .. .. ..\n"
    )


def test_a_new_metre_begins_a_block_that_says_so() -> None:
    """Bars of another metre are written apart, with their metre and steps."""
    timeline = Timeline(
        (MetreChange(0, COMMON), MetreChange(3840, Metre(6, 8))), (TempoChange(0, 500_000),), 3840 + 2880
    )
    groove = make_groove(
        [(0, Piece.KICK, 80), (3840, Piece.KICK, 80), (3840 + 480, Piece.SNARE, 80)], timeline
    )
    assert format_grid(groove) == (
        "- # bar 1: 4/4, 1 steps per beat\n"
        "  kick: x...\n"
        "- # bar 2: 6/8, 3 steps per beat\n"
        "  snare: .x. ...\n"
        "  kick:  x.. ...\n"
    )


def test_a_closed_and_an_open_hat_together_get_rows_of_their_own() -> None:
    """Where one row can't hold both hats, each is written by its own name."""
    hits = [(0, Piece.CLOSED_HAT, 80), (0, Piece.OPEN_HAT, 80)]
    text = format_grid(make_groove(hits, Timeline.of(COMMON, 100, 1)), steps_per_beat=1)
    assert text == "open hat:   x...\nclosed hat: x...\n"


def test_an_empty_groove_is_a_silent_kick() -> None:
    """Bars without a hit are still bars."""
    assert format_grid(make_groove([], Timeline.of(COMMON, 100, 1))) == "kick: ....\n"


def test_long_grooves_come_in_blocks_that_fit_a_screen() -> None:
    """Sixteenths come four bars to a block, each with its bars' numbers."""
    hits = [(i * 240, Piece.SNARE, 80) for i in range(16 * 6)]
    lines = format_grid(make_groove(hits, Timeline.of(COMMON, 100, 6))).splitlines()
    assert [line for line in lines if line.startswith("-")] == ["- # bars 1 to 4", "- # bars 5 to 6"]
    assert max(map(len, lines)) < 120


def test_the_count_stands_over_the_steps() -> None:
    """The beats' numbers line up with the rows beneath."""
    assert format_count(Grid(COMMON, 4), 2) == "1    2    3    4      1    2    3    4"
    assert format_count(Grid(COMMON, 1), 1) == "1234"


def test_feels_are_written_as_patterns_have_them() -> None:
    """A feel reads back from what is written of it."""
    assert format_feel(Feel()) == "straight"
    assert yaml.safe_load(format_feel(Feel(1.8, 240))) == {"swing": 1.8, "of": "sixteenths"}
