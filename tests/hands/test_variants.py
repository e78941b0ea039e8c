"""What may be done with strokes that can't be played as asked."""

from __future__ import annotations

import pytest

from handgroove.hands.player import Player
from handgroove.hands.settle import settle
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Metre, Timeline

LINE = Timeline.of(Metre(4, 4), 125, 4)  # two ticks are a millisecond


@pytest.mark.parametrize("gap_ticks", [40, 66, 100, 160])
def test_a_snare_never_takes_the_kick_s_octave(gap_ticks: int) -> None:
    """However close the thumb's strokes come, on one key or two, none of them goes an octave down."""
    asked = [
        Asked(
            960 + number * gap_ticks,
            Strike((pitch,), 90, Hand.LEFT, Role.SNARE, 100, fingers=(1,)),
            (number,),
        )
        for number, pitch in enumerate((50, 48, 50, 48, 50, 48))
    ]
    settled = settle(asked, Player(), LINE)
    assert settled.notes
    assert {note.pitch for note in settled.notes} <= {50, 48}
