"""Room for a melody: how high the right hand's chords may go so that they neither clash with a tune nor cover it."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from handgroove.harmony.charts.chart_model import Harmony
from handgroove.harmony.find.sounding import Sounding

ROOM = 3  # semitones between a chord's top and the melody
LOWEST_CEILING = (
    60  # below this the chords would be mud: the melody itself is low, and chords keep out of its way
)


def melody_ceilings(melody: Sequence[Sounding], harmony: Harmony, room: int = ROOM) -> tuple[int | None, ...]:
    """Return for each span of *harmony* the highest pitch that a chord may have under *melody*, None where it rests.

    The melody's lowest note in the span counts, *room* semitones below it, but not less than middle C.
    """
    notes = sorted(melody, key=lambda note: note.tick)
    ticks = [note.tick for note in notes]
    longest_ticks = max((note.end_tick - note.tick for note in notes), default=0)
    ceilings: list[int | None] = []
    for span in harmony.spans:
        first = bisect_left(ticks, span.start_tick - longest_ticks)
        last = bisect_left(ticks, span.end_tick)
        pitches = [note.pitch for note in notes[first:last] if note.end_tick > span.start_tick]
        ceilings.append(max(LOWEST_CEILING, min(pitches) - room) if pitches else None)
    return tuple(ceilings)
