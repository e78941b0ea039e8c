"""What may be done with strokes that can't be played as asked."""

from __future__ import annotations

from handgroove.hands.player import Player
from handgroove.hands.settle import settle
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Metre, Timeline


def test_a_snare_never_takes_the_kick_s_octave() -> None:
    """A snare too far above the kick for one hand is given up or handed over with a line, not struck an octave down."""
    kick = Asked(960, Strike((29,), 100, Hand.LEFT, Role.KICK, 480, fingers=(5,)), (0,))
    snare = Asked(960, Strike((48,), 90, Hand.LEFT, Role.SNARE, 200, fingers=(1,)), (1,))
    chord = Asked(960, Strike((60, 64, 67), 90, Hand.RIGHT, Role.COMPING, 480), (2,))
    settled = settle([kick, snare, chord], Player(), Timeline.of(Metre(4, 4), 125, 4))
    assert {note.pitch for note in settled.notes} - {48} == {29, 60, 64, 67}
    assert 1 in {hit for line in settled.omissions for hit in line.hits}
