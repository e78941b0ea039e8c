"""Transport, tap tempo, and the sender of clock."""

from __future__ import annotations

import pytest

from handgroove.live.core.tempo import ClockSender, TapTempo, Transport


def test_a_change_of_tempo_keeps_the_place() -> None:
    """The position goes on from where it is, at the new pace."""
    transport = Transport(120.0)
    transport.set_tempo(60.0, 1.0)
    assert transport.tick_at(1.0) == pytest.approx(1920)
    assert transport.tick_at(2.0) == pytest.approx(2880)
    assert transport.sec_at(2880) == pytest.approx(2.0)


def test_three_taps_make_a_tempo() -> None:
    """The tempo is known from the third tap on, and one late tap among many hardly moves it."""
    tap = TapTempo()
    assert tap.tap(0.0) is None
    assert tap.tap(0.5) is None
    assert tap.tap(1.0) == pytest.approx(120.0)
    assert tap.tap(1.58) == pytest.approx(120.0)


def test_a_pause_starts_the_taps_anew() -> None:
    """Taps from before a long pause no longer count."""
    tap = TapTempo()
    for sec in (0.0, 0.5, 1.0):
        tap.tap(sec)
    assert tap.tap(10.0) is None
    assert tap.tap(11.0) is None
    assert tap.tap(12.0) == pytest.approx(60.0)


def test_a_bouncing_pedal_is_one_tap() -> None:
    """Two presses within a few milliseconds count once."""
    tap = TapTempo()
    taps = [tap.tap(sec) for sec in (0.0, 0.01, 0.5, 0.51, 1.0)]
    assert taps[-1] == pytest.approx(120.0)


def test_clocks_do_not_drift() -> None:
    """Each clock has its own absolute time: after an hour the count is exact, however late `due` is asked."""
    transport, sender = Transport(120.0), ClockSender()
    sender.arm(0)
    sender.begin()
    count, sec = 0, 0.0
    while sec < 3600.0:
        sec += 0.0173
        count += len(sender.due(transport, sec))
    assert count == int(sec * 48) + 1


def test_a_stopped_sender_sends_nothing() -> None:
    """After stop there are no clocks, and stop is said once."""
    transport, sender = Transport(120.0), ClockSender()
    sender.arm(0)
    sender.begin()
    assert sender.stop() == [(0xFC,)]
    assert sender.stop() == []
    assert sender.due(transport, 10.0) == []
