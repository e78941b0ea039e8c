"""MIDI clock and song position against the standard's numbers.

Source: MIDI 1.0 Detailed Specification, document version 4.2.1 (MIDI Manufacturers Association, 1996), pages 27 to 32.
"""

from __future__ import annotations

import pytest

from handgroove.live.core.follow import ClockEvent, ClockFollower
from handgroove.live.core.messages import CLOCK, CONTINUE, START, STOP
from handgroove.live.core.stage import Source
from handgroove.live.core.tempo import START_LEAD_SEC, TICKS_PER_CLOCK, ClockSender, Transport
from handgroove.timeline import TICKS_PER_QUARTER
from tests.live.song_position import song_position
from tests.live.stage_rig import Rig


@pytest.mark.parametrize(
    ("tempo_bpm", "period_ms"), [(60, 41.667), (90, 27.778), (120, 20.833), (180, 13.889)]
)
def test_there_are_24_clocks_to_a_quarter(tempo_bpm: float, period_ms: float) -> None:
    """Page 30: the timing clock (F8) is sent 24 times a quarter note, so every 60000 / (24 × tempo) ms."""
    transport, sender = Transport(tempo_bpm), ClockSender()
    sender.arm(0)
    sender.begin()
    sender.due(transport, 0.0)
    following_sec = sender.next_sec(transport)
    assert following_sec is not None
    assert 1e3 * following_sec == pytest.approx(period_ms, abs=0.001)


def test_song_position_counts_sixteenths_low_seven_bits_first() -> None:
    """Page 27: F2, LSB, MSB; one MIDI beat is six clocks, a sixteenth."""
    assert song_position(10) == (0xF2, 10, 0)
    assert song_position(200) == (0xF2, 200 & 0x7F, 1)


def test_the_worked_example_of_position_10() -> None:
    """Page 27: song position 10 is clock 60, which is tick 240 at 96 to the quarter."""
    follower = ClockFollower()
    follower.take(song_position(10), 0.0)
    assert follower.song_clock == 60
    assert follower.song_tick * 96 // TICKS_PER_QUARTER == 240


def test_the_worked_example_of_position_8() -> None:
    """Page 28: song position 8 is the third quarter note."""
    follower = ClockFollower()
    follower.take(song_position(8), 0.0)
    assert follower.song_tick == 2 * TICKS_PER_QUARTER


def test_position_4_continue_and_three_clocks_come_to_clock_27() -> None:
    """Page 29: after position 4 and continue, the three clocks that come make clock 27 the next to be played."""
    follower = ClockFollower()
    follower.take(song_position(4), 0.0)
    follower.take((CONTINUE,), 0.1)
    for number in range(3):
        follower.take((CLOCK,), 0.2 + number / 48)
    assert follower.song_clock + 1 == 27


def test_nothing_starts_before_the_clock_that_follows_start() -> None:
    """Page 30: the music starts with the first clock after start, not with start."""
    follower = ClockFollower()
    assert follower.take((START,), 0.0) is ClockEvent.MOVED
    assert not follower.playing
    assert follower.take((CLOCK,), 0.5) is ClockEvent.STARTED
    assert follower.playing
    assert follower.song_clock == 0
    assert follower.fit_sec == 0.5


def test_start_is_position_0_and_continue() -> None:
    """Page 28: start means song position 0 and continue."""
    started, continued = ClockFollower(), ClockFollower()
    started.take(song_position(7), 0.0)
    started.take((START,), 0.1)
    continued.take(song_position(7), 0.0)
    continued.take(song_position(0), 0.05)
    continued.take((CONTINUE,), 0.1)
    for follower in (started, continued):
        follower.take((CLOCK,), 0.2)
    assert (started.song_clock, started.playing) == (continued.song_clock, continued.playing) == (0, True)


def test_continue_goes_on_from_where_stop_came() -> None:
    """Page 30: continue plays from the point at which stop was received."""
    follower = ClockFollower()
    follower.take((START,), 0.0)
    for number in range(30):
        follower.take((CLOCK,), number / 48)
    follower.take((STOP,), 1.0)
    follower.take((CONTINUE,), 2.0)
    follower.take((CLOCK,), 2.1)
    assert follower.song_clock == 30


def test_clocks_leave_a_millisecond_after_start() -> None:
    """Page 30: at least 1 ms lies between start and the first clock."""
    assert START_LEAD_SEC >= 0.001
    rig = Rig(send_clock=True)
    rig.far.hear(rig.engine.start(0.0), 0.0)
    rig.advance(0.2)
    started = next(sec for sec, message in rig.far.clocks if message == (START,))
    first = next(sec for sec, message in rig.far.clocks if message == (CLOCK,))
    assert first - started >= 0.001


def test_a_follower_hears_what_our_sender_means() -> None:
    """Our clock out, followed by our clock in, is at the same tick at the same time."""
    rig = Rig(send_clock=True, tempo_bpm=97.0)
    rig.far.hear(rig.engine.start(0.0), 0.0)
    rig.advance(10.0)
    follower = ClockFollower()
    for sec, message in rig.far.clocks:
        follower.take(message, sec)
    assert follower.tempo_bpm == pytest.approx(97.0, abs=0.01)
    assert rig.engine.conductor.transport.tick_at(follower.fit_sec) == pytest.approx(
        follower.song_clock * TICKS_PER_CLOCK, abs=0.5
    )


def test_stop_ends_notes_and_releases_pedals() -> None:
    """Page 31: on stop, note-offs are sent for what sounds and pedals return to normal."""
    rig = Rig(follow=True, thru=True)

    rig.take(Source.KEYS, (0xB0, 64, 127), 0.0)
    rig.take(Source.CLOCK, (START,), 0.0)
    for number in range(13):
        rig.take(Source.CLOCK, (CLOCK,), 0.1 + number / 48)
    assert rig.far.sounding
    rig.take(Source.CLOCK, (STOP,), 0.4)
    assert not rig.far.sounding
    assert rig.far.pedals == {(0, 64): 0}
