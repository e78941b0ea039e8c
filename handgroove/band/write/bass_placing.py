"""Where the translators get chord, voicing and low note from when a bass plays."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from handgroove.band.write.sketch import Sketch
from handgroove.harmony.voice.low_limits import is_muddy
from handgroove.host.own_strokes import ChordHere
from handgroove.host.planned import PlannedPlacing

THUMB_HIGHEST = 55  # G3: from here up is the right hand's


class BassPlacing(PlannedPlacing):
    """A planned harmony whose low note keeps within an octave of the bass line's."""

    def __init__(self, sketch: Sketch) -> None:
        super().__init__(sketch.harmony, sketch.voicings, sketch.lows)
        self._sketch = sketch

    def at(self, tick: int) -> ChordHere:
        """Return what holds at the written *tick*, the bass line's pitch if it sounds, and the low note with it."""
        placed = super().at(tick)
        note = self._sketch.bass.at(tick)
        if note is None:
            return placed
        tones = placed.chord.tone_pcs if placed.chord else ()
        low = low_for(note.pitch, placed.low, tones, together=note.place == tick)
        return replace(placed, bass=note.pitch, low=low)


def low_for(bass: int, low: int, tone_pcs: Collection[int] = (), *, together: bool = True) -> int:
    """Return the low note whose octave is the thumb's reply: a third to an octave over *bass*, clear of the right hand.

    That is *low*'s own pitch class where it can be, else the highest of the chord's *tone_pcs*, else the bass note's.
    Mud matters only where both are struck *together*: a bass that is held is let go for the thumb.
    """
    thumbs = [
        pitch
        for pitch in range(bass + 3, min(bass + 12, THUMB_HIGHEST) + 1)
        if not (together and is_muddy(bass, pitch))
    ]
    own = [pitch for pitch in thumbs if pitch % 12 == low % 12]
    tones = [pitch for pitch in thumbs if pitch % 12 in tone_pcs]
    return (own or tones or [bass + 12])[-1] - 12
