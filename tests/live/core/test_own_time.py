"""Stops, pushes and the low line on stage: with the drummer's strokes, or by the running clock."""

from __future__ import annotations

import pytest

from handgroove.live.core.own_time import PATIENCE_SEC
from handgroove.strike import Hand
from tests.live.stage_rig import Rig, real_guard

KICK, HAT, PEDAL_HAT, RIDE = 36, 42, 44, 51
STOP_CHART = "| Am7 | C! | Fmaj7 | G7 |"


def started(**setup: object) -> Rig:
    """Return a stage on which the song has started, at 120 to the minute."""
    rig = Rig(**{"guard": real_guard(), "chart": STOP_CHART, **setup})  # type: ignore[arg-type]
    rig.far.hear(rig.engine.start(0.0), 0.0)
    return rig


def heard(rig: Rig, start_sec: float, end_sec: float) -> list[tuple[float, int]]:
    """Return the notes begun from *start_sec* to *end_sec*, as seconds and pitches."""
    return [(round(sec, 3), pitch) for sec, pitch, _ in rig.far.notes() if start_sec <= sec < end_sec]


def close(rig: Rig) -> None:
    """End the session; nothing sounds on."""
    rig.close()
    assert rig.far.wrong == []
    assert rig.far.sounding == {}


def test_a_pattern_stops_where_the_chart_does() -> None:
    """Both hands on the 1, in the pattern's own time; then nothing until the next chord, and each stroke is told."""
    rig = started()
    rig.advance(4.4)
    assert {pitch for _, pitch in heard(rig, 1.9, 3.9)} == {36, 48, 60, 64, 67}
    assert {sec for sec, _ in heard(rig, 1.9, 3.9)} == {2.0}
    assert heard(rig, 3.9, 4.1)
    assert sum(count for (_, why), count in rig.engine.accounts.left_out.items() if "stops here" in why) == 12
    close(rig)


@pytest.mark.parametrize("lean_sec", [0.0, 0.02, 0.04])
def test_a_stop_that_the_drummer_forgets_is_struck_by_the_clock(lean_sec: float) -> None:
    """The hands strike it when the drummer should have; what is played in the silence stays silent."""
    rig = started(plays=False)
    for number in range(18):
        if number != 8:
            rig.hit(HAT, number * 0.25 + lean_sec)
    struck = heard(rig, 1.9, 3.99)
    assert {pitch for _, pitch in struck} == {36, 48, 60, 64, 67}
    assert {sec for sec, _ in struck} <= {
        round(2 + PATIENCE_SEC + lean_sec + off, 3) for off in (-0.01, 0, 0.01)
    }
    assert heard(rig, 3.99, 4.3)
    close(rig)


@pytest.mark.parametrize("lean_sec", [-0.04, 0.0, 0.04])
def test_a_stop_that_the_drummer_plays_is_the_drummer_s(lean_sec: float) -> None:
    """It is struck once, at the stroke's own moment, however the drummer leans; what falls with it joins in."""
    rig = started(plays=False)
    for number in range(1, 16):
        rig.hit(HAT, number * 0.25 + lean_sec)
        if number == 8:
            rig.hit(KICK, number * 0.25 + lean_sec + 0.005)
    assert {sec for sec, _ in heard(rig, 1.85, 3.9)} == {round(2 + lean_sec, 3)}
    assert len(heard(rig, 1.85, 3.9)) == 5
    close(rig)


def ride_bar(rig: Rig, bar: int, *, leave: float = -1) -> None:
    """Play a bar of ride and pedal hat, without the stroke on the beat *leave*."""
    for beat, note in (
        (0, RIDE),
        (1, RIDE),
        (1, PEDAL_HAT),
        (1.643, RIDE),
        (2, RIDE),
        (3, RIDE),
        (3, PEDAL_HAT),
    ):
        if beat != leave:
            rig.hit(note, (bar * 4 + beat) * 0.5)


def test_under_a_ride_the_left_hand_plays_in_two() -> None:
    """The ride's own strokes bring it, hit by hit; where one is missing the clock does."""
    rig = started(patterns=("swing ride",), chart="| Dm7 | G7 | Cmaj7 | A7b13 |", plays=False)
    for bar in range(4):
        ride_bar(rig, bar, leave=2 if bar == 2 else -1)
    low = [(sec, pitch % 12) for sec, pitch in heard(rig, 0, 8) if pitch < 50]
    assert [pc for _, pc in low] == [2, 9, 7, 2, 0, 7, 9, 3]
    assert [sec for sec, _ in low] == [0.0, 1.0, 2.0, 3.0, 4.0, 5 + PATIENCE_SEC, 6.0, 7.0]
    close(rig)


def test_a_kick_after_the_line_is_in_it() -> None:
    """A kick a hair after the ride has its note there already, and is answered."""
    rig = started(patterns=("swing ride",), chart="| Dm7 |", plays=False)
    rig.hit(RIDE, 0.0)
    rig.hit(KICK, 0.01)
    assert len([pitch for _, pitch in heard(rig, 0, 1) if pitch < 50]) == 1
    assert rig.engine.accounts.answered == 2
    close(rig)


def test_the_hand_that_is_left_to_the_player_rests() -> None:
    """With the right hand alone the line and the stop's octave are the player's own."""
    rig = started(patterns=("swing ride",), plays=False, hands=frozenset({Hand.RIGHT}))
    ride_bar(rig, 0)
    rig.advance(3.0)
    assert heard(rig, 0, 3)
    assert not [pitch for _, pitch in heard(rig, 0, 3) if pitch < 50]
    close(rig)


def test_a_push_is_struck_by_the_clock_too() -> None:
    """G on 4& with nothing drummed there: its chord and root sound early, in both hands."""
    rig = started(chart="| C | >G |", plays=False)
    for number in range(12):
        if number != 7:
            rig.hit(HAT, number * 0.25)
    early = {pitch for _, pitch in heard(rig, 1.7, 1.9)}
    assert early == {31, 59, 62, 67}
    assert not heard(rig, 1.9, 2.2)
    close(rig)
