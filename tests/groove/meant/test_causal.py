"""The live reading: every stroke gets its written place from the strokes before it alone."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.groove.hits import Feel
from handgroove.groove.meant.causal import CausalReading
from handgroove.groove.meant.swing import swing
from handgroove.timeline import Metre, Timeline

STRAIGHT = Feel()
TWO_BARS = 2 * 3840
# Written ticks within a bar of 4/4, and the finest step that each groove uses.
EIGHTHS = tuple(range(0, 3840, 480))
SIXTEENTHS = tuple(range(0, 3840, 240))
ROCK = (0, 480, 960, 1440, 1680, 1920, 2400, 2880, 3360, 3600)
TRIPLETS = tuple(range(0, 3840, 320))
GROOVES = {EIGHTHS: 480, SIXTEENTHS: 240, ROCK: 240, TRIPLETS: 320}


def written(groove: tuple[int, ...], bars: int = 6) -> list[int]:
    """Return the written ticks of *groove*, played for *bars* bars."""
    return [bar * 3840 + place for bar in range(bars) for place in groove]


def read(ticks: list[int], tempo_bpm: float, feel: Feel = STRAIGHT, steps_per_beat: int = 0) -> list[int]:
    """Return the places that strokes at *ticks* get, one after another."""
    timeline = Timeline.of(Metre(4, 4), tempo_bpm, 4)
    reading = CausalReading()
    return [reading.take(tick, timeline, feel, steps_per_beat) for tick in ticks]


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(list(GROOVES)), st.floats(60, 180), st.floats(-1, 1))
def test_a_player_who_leans_throughout_is_followed(
    groove: tuple[int, ...], tempo_bpm: float, share: float
) -> None:
    """Strokes shifted by up to 60 ms, at most a third of the finest step, are where they were meant after two bars."""
    per_sec = 16 * tempo_bpm
    shift = round(share * min(0.06 * per_sec, GROOVES[groove] / 3))
    places = written(groove)
    got = read([place + shift for place in places], tempo_bpm)
    assert [place for place in got if place >= TWO_BARS] == [place for place in places if place >= TWO_BARS]


@pytest.mark.parametrize("sec", [-0.045, 0.045, 0.08])
def test_most_leans_are_known_from_the_first_bar_on(sec: float) -> None:
    """At 100 a rock groove that is 45 ms early, 45 ms late or 80 ms late throughout is right from the third stroke."""
    places = written(ROCK)
    shift = round(sec * 1600)
    assert read([place + shift for place in places], 100.0)[2:] == places[2:]


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from([EIGHTHS, SIXTEENTHS, ROCK]),
    st.floats(60, 130),
    st.floats(-0.03, 0.03),
    st.integers(0, 10**6),
)
def test_jitter_changes_no_place(
    groove: tuple[int, ...], tempo_bpm: float, lean_sec: float, seed: int
) -> None:
    """Strokes that scatter by up to 15 ms to either side, about a lean, are where they were meant after two bars."""
    rng = random.Random(seed)
    per_sec = 16 * tempo_bpm
    places = written(groove)
    ticks = [place + round((lean_sec + rng.uniform(-0.015, 0.015)) * per_sec) for place in places]
    got = read(ticks, tempo_bpm)
    assert got[2 * len(groove) :] == places[2 * len(groove) :]


@pytest.mark.parametrize("feel", [Feel(2.0, 480), Feel(1.6, 480), Feel(2.0, 240), Feel(1.4, 240)])
@pytest.mark.parametrize("shift_sec", [0.0, 0.03])
def test_swing_is_put_straight(feel: Feel, shift_sec: float) -> None:
    """Swung offbeats are written even, also where the player drags."""
    tempo_bpm = 110.0
    groove = EIGHTHS if feel.swing_unit_ticks == 480 else SIXTEENTHS
    places = written(groove)
    ticks = [round(float(swing(place, feel))) + round(shift_sec * 16 * tempo_bpm) for place in places]
    assert read(ticks, tempo_bpm, feel)[4:] == places[4:]


def test_the_pattern_s_grid_holds_from_the_first_stroke_on() -> None:
    """A stroke on a third of the beat is one where the pattern has triplets, and the nearest sixteenth where not."""
    assert read([0, 325], 100.0, steps_per_beat=3) == [0, 320]
    assert read([0, 325], 100.0, steps_per_beat=4)[1] == 240


def test_without_a_pattern_how_the_beat_is_parted_is_learnt() -> None:
    """After a bar of triplets thirds are thirds, and after a bar or two of sixteenths sixteenths again."""
    places = [*written(TRIPLETS, 3), *(3 * 3840 + place for place in written(SIXTEENTHS, 4))]
    got = read(places, 100.0)
    assert got[len(TRIPLETS) : 3 * len(TRIPLETS)] == places[len(TRIPLETS) : 3 * len(TRIPLETS)]
    assert got[-2 * len(SIXTEENTHS) :] == places[-2 * len(SIXTEENTHS) :]


def test_dotted_beats_part_in_three() -> None:
    """In 12/8 eighths and sixteenths are where they were meant, 40 ms late throughout."""
    timeline = Timeline.of(Metre(12, 8), 90.0, 4)
    places = [bar * 5760 + place for bar in range(4) for place in (0, 480, 960, 1440, 2400, 2640, 2880, 4320)]
    reading = CausalReading()
    assert [reading.take(place + 58, timeline, STRAIGHT, 3) for place in places][4:] == places[4:]


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.integers(-4000, 20_000), min_size=1, max_size=60).map(sorted),
    st.sampled_from([(4, 4), (3, 4), (6, 8), (7, 8), (5, 4), (3, 16), (2, 2)]),
    st.floats(20, 500),
    st.sampled_from([STRAIGHT, Feel(2.0, 480), Feel(1.5, 240)]),
    st.sampled_from([0, 1, 2, 3, 4, 6, 8]),
)
def test_places_never_run_back(
    ticks: list[int], metre: tuple[int, int], tempo_bpm: float, feel: Feel, steps: int
) -> None:
    """Whatever is struck, a later stroke never means an earlier place, nor one more than a beat and a lean away."""
    timeline = Timeline.of(Metre(*metre), tempo_bpm, 4)
    reading = CausalReading()
    places = [reading.take(tick, timeline, feel, steps) for tick in ticks]
    assert places == sorted(places)
    assert all(tick - 2400 <= place for tick, place in zip(ticks, places, strict=True))


def test_a_jump_of_tempo_or_place_begins_anew() -> None:
    """What was learnt of the lean holds no longer after the tempo or the position has jumped."""
    slow, fast = (Timeline.of(Metre(4, 4), tempo_bpm, 4) for tempo_bpm in (100.0, 140.0))
    for timeline, start in ((fast, 40 * 960), (slow, 0)):
        reading = CausalReading()
        for place in written(ROCK, 3):
            reading.take(place + 90, slow, STRAIGHT)
        assert reading.lean_sec > 0.03
        reading.take(start, timeline, STRAIGHT)
        assert reading.lean_sec == 0


def test_asking_for_the_nearest_place_teaches_nothing() -> None:
    """A press between strokes is read as the strokes are, and changes nothing about them."""
    timeline = Timeline.of(Metre(4, 4), 100.0, 4)
    one, other = CausalReading(), CausalReading()
    places = written(ROCK, 3)
    got = []
    for place in places:
        got.append(one.take(place + 70, timeline, STRAIGHT))
        assert one.nearest(place + 170, timeline, STRAIGHT) >= place
    assert got == [other.take(place + 70, timeline, STRAIGHT) for place in places]
    assert one.nearest(3 * 3840 + 70 - 60, timeline, STRAIGHT) == 3 * 3840
