"""Following MIDI clock through jitter, dropped and doubled clocks, changes and silence."""

from __future__ import annotations

import random

import pytest

from handgroove.live.core.follow import ClockEvent, ClockFollower
from tests.tools.stage.clock_in import clock_in_error, tempo_change_beats


def _follow(
    periods: list[float],
    *,
    jitter_sec: float = 0.001,
    dropped: frozenset[int] = frozenset(),
    doubled: int = -1,
) -> tuple[ClockFollower, float]:
    """Return a follower that was fed clocks *periods* apart, and when the last of them truly fell."""
    rng = random.Random(3)
    follower = ClockFollower()
    follower.take((0xFA,), 0.0)
    sec = 1.0
    for number, period in enumerate(periods):
        if number not in dropped:
            arrival = sec + rng.gauss(0, jitter_sec)
            follower.take((0xF8,), arrival)
            if number == doubled:
                follower.take((0xF8,), arrival + 0.001)
        sec += period
    return follower, sec - periods[-1]


_STEADY = [60 / 120 / 24] * 400


@pytest.mark.parametrize("seed", range(5))
def test_beats_fall_within_a_millisecond_of_a_jittering_sender(seed: int) -> None:
    """A steady sender with 1 ms of jitter: beats are right to less than 1 ms RMS and the tempo to a tenth."""
    error = clock_in_error(seed=seed)
    assert error["beat error rms ms"] < 0.5
    assert error["tempo error max bpm"] < 0.5


@pytest.mark.parametrize("to_bpm", [60, 90, 116, 126, 150, 180])
def test_a_change_of_tempo_is_followed_within_two_beats(to_bpm: float) -> None:
    """From 120 to another tempo: within 2% of it after two beats, and for good."""
    assert tempo_change_beats(120, to_bpm) <= 2


def test_a_dropped_clock_is_counted() -> None:
    """A clock that is lost on the way leaves no dent: the song's place is as if it had come."""
    follower, true_sec = _follow(_STEADY, dropped=frozenset({100, 200, 201}))
    assert follower.song_clock == len(_STEADY) - 1
    assert follower.dropped == 3
    assert follower.fit_sec == pytest.approx(true_sec, abs=0.001)


def test_a_doubled_clock_is_not_counted() -> None:
    """A clock that comes twice counts once."""
    follower, _ = _follow(_STEADY, doubled=150)
    assert follower.song_clock == len(_STEADY) - 1
    assert follower.doubled == 1


def test_half_the_tempo_is_not_taken_for_dropped_clocks() -> None:
    """When the tempo halves at once, the place is still the number of clocks that came."""
    periods = [60 / 120 / 24] * 200 + [60 / 60 / 24] * 200
    follower, _ = _follow(periods)
    assert follower.song_clock == len(periods) - 1
    assert follower.tempo_bpm == pytest.approx(60, rel=0.01)


def test_clocks_before_start_tell_the_tempo_but_move_nothing() -> None:
    """Many senders run their clock while stopped."""
    follower = ClockFollower()
    for number in range(100):
        assert follower.take((0xF8,), number / 48) is ClockEvent.CLOCK
    assert follower.tempo_bpm == pytest.approx(120, rel=1e-6)
    assert not follower.playing
    assert follower.song_clock == 0


def test_a_silent_line_is_noticed_and_taken_up_again() -> None:
    """A sender that stops without saying so is lost; when it goes on, the song goes on where it was."""
    follower, last_sec = _follow(_STEADY[:100], jitter_sec=0.0)
    assert not follower.is_lost(last_sec + 0.1)
    assert follower.is_lost(last_sec + 1.0)
    follower.take((0xF8,), last_sec + 2.0)
    assert follower.song_clock == 100
    assert not follower.is_lost(last_sec + 2.1)


def test_a_long_ritardando_is_followed() -> None:
    """From 120 down to 80 over eight bars, the beat is never off by more than a few milliseconds."""
    periods = [60 / (120 - 40 * number / 768) / 24 for number in range(768)]
    follower, true_sec = _follow(periods)
    assert follower.song_clock == 767
    assert follower.fit_sec == pytest.approx(true_sec, abs=0.004)
