"""Ports by name, event times, and outlets that owe what they could not end."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest

from handgroove.live.core.stage import Sink
from handgroove.live.shell.loopback import LoopbackSystem
from handgroove.live.shell.midi_ports import PortError, find_port
from handgroove.live.shell.wires import MOST_HELD, MOST_UNECHOED, EventTime, Outlet, PortWish
from tests.live.pretended import PretendedClock


def test_a_port_is_found_by_part_of_its_name() -> None:
    """Capitals don't matter, and a whole name wins over others that contain it."""
    names = ["Big Synth 1", "Big Synth 12", "Pads"]
    assert find_port("pads", names) == "Pads"
    assert find_port("Big Synth 1", names) == "Big Synth 1"


@pytest.mark.parametrize(
    ("wanted", "said"), [("synth", "fits 2 ports"), ("organ", "there are: 'Big Synth 1'")]
)
def test_a_port_that_is_not_clear_is_refused_with_what_there_is(wanted: str, said: str) -> None:
    """Several that fit, or none: the message lists them."""
    with pytest.raises(PortError, match=said):
        find_port(wanted, ["Big Synth 1", "Big Synth 12"])


def test_event_times_take_out_the_polling_delay() -> None:
    """Messages polled late, with the port's own intervals, get times evenly apart again."""
    rng = random.Random(1)
    time, stamps, before = EventTime(), [], 0.0
    for number in range(500):
        true_sec = 1.0 + number * 0.02
        stamps.append(time.stamp(true_sec - before if number else 0.0, true_sec + rng.uniform(0.0, 0.002)))
        before = true_sec
    gaps = [after - earlier for earlier, after in pairwise(stamps[50:])]
    assert max(abs(gap - 0.02) for gap in gaps) < 0.0003


def test_event_times_of_a_port_without_clock_are_the_polling_times() -> None:
    """A port that tells nothing useful is stamped when polled."""
    time = EventTime()
    assert time.stamp(0.0, 1.0) == 1.0
    assert time.stamp(0.0, 9.0) == 9.0


def _outlet() -> tuple[LoopbackSystem, Outlet]:
    system = LoopbackSystem(PretendedClock().now)
    system.add_sink("synth")
    outlet = Outlet(frozenset({Sink.PIANO}), PortWish("synth"))
    outlet.open(system)
    return system, outlet


def _heard(system: LoopbackSystem) -> list[tuple[int, ...]]:
    out = []
    while (got := system.sinks["synth"].poll()) is not None:
        out.append(got[0])
    return out


def test_what_sounded_when_the_port_went_is_ended_when_it_returns() -> None:
    """The far end hears the note-off it missed, the pedal up, and all notes off."""
    system, outlet = _outlet()
    outlet.send((0x90, 60, 80))
    outlet.send((0x90, 64, 80))
    outlet.send((0x80, 64, 0))
    outlet.lose()
    outlet.send((0x80, 60, 0))
    _heard(system)
    outlet.open(system)
    assert _heard(system) == [(0x80, 60, 0), (0xB0, 64, 0), (0xB0, 123, 0)]


def test_without_an_echo_messages_are_held_and_then_sent_in_order() -> None:
    """No more goes out than a server's ring takes until it has been seen alive; the order is kept."""
    system, outlet = _outlet()
    for number in range(MOST_UNECHOED + 100):
        outlet.send((0x90 if number % 2 == 0 else 0x80, (number // 2) % 128, 64))
    first = _heard(system)
    assert len(first) == MOST_UNECHOED
    outlet.echoed()
    rest = _heard(system)
    assert len(rest) == 100
    assert [message[1] for message in first + rest] == [(n // 2) % 128 for n in range(MOST_UNECHOED + 100)]


def test_what_is_held_stays_bounded_and_keeps_the_ends() -> None:
    """A server that hangs for minutes: note-ons go first, and memory stays bounded."""
    _, outlet = _outlet()
    for number in range(60_000):
        outlet.send((0x90, number % 128, 64))
    assert outlet.dropped >= 60_000 - MOST_UNECHOED - 2 * MOST_HELD
