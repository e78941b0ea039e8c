"""Where the translators get chord, voicing and low note from when a bass plays."""

from __future__ import annotations

from dataclasses import replace

from handgroove.band.sketch import Sketch
from handgroove.host.chain import Placed
from handgroove.host.placing import PlannedPlacing


class BassPlacing(PlannedPlacing):
    """A planned harmony whose low note keeps within an octave of the bass line's."""

    def __init__(self, sketch: Sketch) -> None:
        super().__init__(sketch.harmony, sketch.voicings, sketch.lows)
        self._sketch = sketch

    def at(self, tick: int) -> Placed:
        """Return what holds at *tick*, the bass line's pitch where it sounds, and the low note that goes with it."""
        placed = super().at(tick)
        note = self._sketch.bass.at(tick, self._sketch.near)
        if note is None:
            return placed
        return replace(placed, bass=note.pitch, low=low_for(note.pitch, placed.low))


def low_for(bass: int, low: int) -> int:
    """Return *low* moved by octaves so that the thumb's octave above it stands a third to an octave over *bass*.

    Where no octave of it does, the bass note's own.
    """
    thumb = bass + 1 + (low - bass - 1) % 12
    return thumb - 12 if thumb - bass >= 3 else bass
