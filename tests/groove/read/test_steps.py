"""The ruler under a groove."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handgroove.groove.hits import Feel
from handgroove.groove.meant.swing import straighten, swing
from handgroove.groove.read.steps import Grid
from handgroove.timeline import Metre


@pytest.mark.parametrize(
    ("metre", "steps", "step_ticks", "steps_per_bar"),
    [
        (Metre(4, 4), 4, 240, 16),
        (Metre(3, 4), 2, 480, 6),
        (Metre(6, 8), 3, 480, 6),
        (Metre(12, 8), 6, 240, 24),
        (Metre(7, 8), 2, 240, 14),
        (Metre(5, 4), 3, 320, 15),
    ],
)
def test_steps_divide_the_felt_beat(metre: Metre, steps: int, step_ticks: int, steps_per_bar: int) -> None:
    """A step is a part of the felt beat, the dotted note in compound metres."""
    grid = Grid(metre, steps)
    assert not grid.faults
    assert (grid.step_ticks, grid.steps_per_bar) == (step_ticks, steps_per_bar)


def test_swing_moves_the_offbeat_to_the_tick() -> None:
    """At two to one the offbeat eighth falls on the triplet's last, and what lies between is bent with it."""
    triplet = Feel(2.0, 480)
    assert [float(swing(tick, triplet)) for tick in (0, 240, 480, 720, 960, 1440)] == [
        0,
        320,
        640,
        800,
        960,
        1600,
    ]


def test_sixteenths_swing_within_the_eighth() -> None:
    """Sixteenth swing leaves eighths where they are."""
    feel = Feel(1.5, 240)
    assert [float(swing(tick, feel)) for tick in (0, 240, 480, 720)] == [0, 288, 480, 768]


@given(st.integers(0, 8000), st.floats(1.0, 4.0), st.sampled_from([240, 480]))
def test_unbending_undoes_bending(tick: int, ratio: float, unit: int) -> None:
    """What a feel bends is straightened again."""
    feel = Feel(ratio, unit)
    assert float(straighten(swing(tick, feel), feel)) == pytest.approx(tick, abs=1e-6)


@pytest.mark.parametrize(
    ("grid", "said"),
    [
        (Grid(Metre(4, 4), 7), "7 steps don't divide a beat of 4/4 evenly"),
        (Grid(Metre(4, 4), 3, Feel(2, 480)), "3 steps to a beat of 4/4 have none on the swung eighths"),
        (Grid(Metre(7, 8), 1, Feel(2, 480)), "a bar of 7/8 does not hold whole pairs of swung notes"),
        (Grid(Metre(4, 4), 2, Feel(2, 240)), "2 steps to a beat of 4/4 have none on the swung sixteenths"),
    ],
)
def test_grids_that_cannot_be_are_told_why(grid: Grid, said: str) -> None:
    """Steps that don't divide the beat, or have no place on the swung notes, are named."""
    assert said in grid.faults
