"""Written positions from human timing."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from handgroove.groove.hits import Feel
from handgroove.groove.meant.quantise import written_ticks
from handgroove.groove.meant.swing import find_swing
from handgroove.output.score import make_sheet
from handgroove.output.score.place import find_feel, place_notes
from handgroove.timeline import Metre, Timeline
from tests.output.score.translated import translated

STRAIGHT = Feel()


def quantise(
    exact: list[int], timeline: Timeline, scatter_ms: float, feel: Feel = STRAIGHT, seed: int = 1
) -> float:
    """Return which share of *exact* ticks is found again from strokes scattered by *scatter_ms* (one deviation)."""
    random = Random(seed)
    ticks_a_ms = timeline.tempo_at(0) / 60 * 0.96
    played = {max(0, t + round(random.gauss(0, scatter_ms) * ticks_a_ms)): t for t in exact}
    written = written_ticks(dict.fromkeys(played, 2), timeline, feel, timeline.end_tick)
    return sum(written[tick] == at for tick, at in played.items()) / len(played)


@pytest.mark.parametrize("tempo_bpm", [72, 100, 132, 160])
@pytest.mark.parametrize("step", [480, 320, 240])
def test_human_scatter_is_put_right(step: int, tempo_bpm: int) -> None:
    """Eighths, triplets and sixteenths with a good player's scatter (10 ms) come out as written."""
    timeline = Timeline.of(Metre(4, 4), tempo_bpm, 16)
    assert quantise(list(range(0, timeline.end_tick, step)), timeline, 10.0) >= 0.99


def test_one_late_stroke_makes_no_triplet() -> None:
    """A single late eighth among eighths stays an eighth."""
    timeline = Timeline.of(Metre(4, 4), 120, 2)
    played = [0, 480, 960, 1440 + 70, 1920, 2400, 2880, 3360]
    written = written_ticks(dict.fromkeys(played, 2), timeline, STRAIGHT, timeline.end_tick)
    assert [written[t] for t in played] == [0, 480, 960, 1440, 1920, 2400, 2880, 3360]


def test_an_early_stroke_belongs_to_the_next_bar() -> None:
    """A stroke a hair before the bar line is written on the beat after it."""
    timeline = Timeline.of(Metre(4, 4), 120, 2)
    assert written_ticks({3810: 1}, timeline, STRAIGHT, timeline.end_tick) == {3810: 3840}


def test_a_rolled_chord_is_one_chord() -> None:
    """Three strokes of one hand within 30 ms stand together."""
    timeline = Timeline.of(Metre(4, 4), 120, 1)
    written = written_ticks({950: 2, 965: 2, 985: 2}, timeline, STRAIGHT, timeline.end_tick)
    assert set(written.values()) == {960}


@pytest.mark.parametrize("ratio", [1.4, 1.7, 2.0, 2.4])
def test_swing_is_written_straight(ratio: float) -> None:
    """Swung eighths of any ratio are written as even eighths, with scatter."""
    timeline = Timeline.of(Metre(4, 4), 140, 8)
    late = round(960 * ratio / (1 + ratio))
    random = Random(3)
    played = {
        b * 960 + o + random.randint(-15, 15) + 20: b * 960 + w
        for b in range(32)
        for o, w in ((0, 0), (late, 480))
    }
    written = written_ticks(dict.fromkeys(played, 2), timeline, Feel(ratio, 480), timeline.end_tick)
    assert all(written[tick] == at for tick, at in played.items())


def test_a_triplet_in_swing_stays_a_triplet() -> None:
    """Three even strokes in a swung beat are a triplet."""
    timeline = Timeline.of(Metre(4, 4), 140, 1)
    played = [0, 640, 960, 1280, 1600]
    written = written_ticks(dict.fromkeys(played, 2), timeline, Feel(2.0, 480), 3840)
    assert [written[tick] for tick in played] == [0, 480, 960, 1280, 1600]


def test_unannounced_swing_is_found() -> None:
    """Onsets at two thirds of the beat are swing; even eighths and full triplets are not."""
    timeline = Timeline.of(Metre(4, 4), 140, 8)
    swung = [b * 960 + o for b in range(32) for o in (0, 640)]
    even = [b * 480 for b in range(64)]
    triplets = [b * 320 for b in range(96)]
    assert find_swing([swung, []], timeline).swing_ratio == pytest.approx(2.0)
    assert find_swing([even, []], timeline) == STRAIGHT
    assert find_swing([triplets, []], timeline) == STRAIGHT


@pytest.mark.parametrize(("metre", "step"), [(Metre(6, 8), 240), (Metre(7, 8), 480), (Metre(5, 4), 240)])
def test_other_metres(metre: Metre, step: int) -> None:
    """Compound and odd metres keep their own grids under scatter."""
    timeline = Timeline.of(metre, 110, 8)
    assert quantise(list(range(0, timeline.end_tick, step)), timeline, 9.0) >= 0.99


@pytest.mark.parametrize(
    "pattern_name", ["samba", "jazz-waltz", "half-time-shuffle", "sixteenth-hats", "seven-eight"]
)
def test_a_human_take_reads_like_the_pattern(pattern_name: str) -> None:
    """With 10 ms of scatter every note of a pattern keeps its written place, and no thirty-second appears."""
    part = translated(pattern_name, "minor")
    random = Random(1)
    ticks_a_ms = part.timeline.tempo_at(0) / 60 * 0.96
    late = {(n.tick, n.hand): round(random.gauss(0, 10) * ticks_a_ms) for n in part.notes}
    played = replace(
        part, notes=tuple(replace(n, tick=max(0, n.tick + late[n.tick, n.hand])) for n in part.notes)
    )
    wanted, got = ({(p.index, p.tick) for p in place_notes(x, find_feel(x))} for x in (part, played))
    assert got == wanted
    assert not any(
        s.type == "32nd" for m in make_sheet(played).measures for v in m.voices.values() for s in v
    )
