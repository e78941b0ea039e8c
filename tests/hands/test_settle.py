"""Settling: what two hands can play."""

from __future__ import annotations

from handgroove.hands.player import Player
from handgroove.hands.settle import settle
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Metre, Timeline

LINE = Timeline.of(Metre(4, 4), 112, 4)


def ask(tick: int, pitch: int, finger: int, role: Role = Role.KICK, hold: int = 1920) -> Asked:
    """Ask the left hand for one note held until its next stroke."""
    return Asked(tick, Strike((pitch,), 90, Hand.LEFT, role, hold, until_next=True, fingers=(finger,)))


def test_octave_groove_is_left_alone() -> None:
    """Kicks on the little finger and snares on the thumb an octave above are played as asked."""
    asked = [
        ask(0, 33, 5),
        ask(960, 45, 1, Role.SNARE, 480),
        ask(1440, 33, 5),
        ask(1920, 33, 5),
        ask(2880, 45, 1, Role.SNARE, 480),
        ask(3360, 29, 5),
    ]
    settled = settle(asked, Player(), LINE)
    assert settled.omissions == ()
    assert [(n.tick, n.pitch, n.finger, n.end_tick) for n in settled.notes] == [
        (0, 33, 5, 960),
        (960, 45, 1, 1440),
        (1440, 33, 5, 1920),
        (1920, 33, 5, 2880),
        (2880, 45, 1, 3360),
        (3360, 29, 5, 5280),
    ]
