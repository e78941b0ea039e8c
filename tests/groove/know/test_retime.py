"""Takes whose file says 120 and means nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from handgroove.groove.hits import Groove
from handgroove.groove.know.retime import find_lost_beat
from handgroove.patterns import read_pattern


def take_at(tempo_bpm: float, bars: int = 16) -> Groove:
    """Return straight eighths played at *tempo_bpm*, written into a file that says 120."""
    groove = read_pattern("straight-eighths").groove(bars, tempo_bpm=120)
    return replace(
        groove,
        hits=tuple(replace(hit, tick=round(hit.tick * 120 / tempo_bpm)) for hit in groove.hits),
    )


@pytest.mark.parametrize("tempo_bpm", [118.0, 118.8, 121.0])
def test_a_take_without_a_click_has_its_own_tempo(tempo_bpm: float) -> None:
    """Another tempo is found even so near 120 that a few seconds of it fit both."""
    beat = find_lost_beat(take_at(tempo_bpm))
    assert beat is not None
    assert beat.tempo_bpm == pytest.approx(tempo_bpm, rel=0.004)


def test_a_take_on_the_click_keeps_the_files_tempo() -> None:
    """At 120 the file is believed, and so is it where a few bars are all there is."""
    assert find_lost_beat(take_at(120.0)) is None
    assert find_lost_beat(take_at(119.0, bars=4)) is None
