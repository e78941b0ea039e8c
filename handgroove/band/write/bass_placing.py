"""Where the translators get chord, voicing and low note from when a bass plays."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from handgroove.band.write.sketch import Sketch
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
        return replace(placed, bass=note.pitch, low=low_for(note.pitch, placed.low, tones))


def low_for(bass: int, low: int, tone_pcs: Collection[int] = ()) -> int:
    """Return the low note whose octave is the thumb's reply: a third to an octave over *bass*, clear of the right hand.

    That is *low*'s own pitch class where it can be, else the highest of the chord's *tone_pcs*, else the bass note's.
    """
    thumb = bass + 1 + (low - bass - 1) % 12
    if thumb - bass >= 3 and thumb <= THUMB_HIGHEST:
        return thumb - 12
    tones = [p for p in range(bass + 3, min(bass + 12, THUMB_HIGHEST) + 1) if p % 12 in tone_pcs]
    return tones[-1] - 12 if tones else bass
