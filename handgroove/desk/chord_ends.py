"""When held notes let go for the harmony's sake: at a change of chord that they don't belong to, and in a stop."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from handgroove.harmony.charts.chart_model import Cue, Harmony
from handgroove.part import Note
from handgroove.strike import Role

STOP_HOLD_TICKS = 480  # a stop is struck short, and then there is silence


def end_with_chords(notes: Iterable[Note], harmony: Harmony) -> tuple[Note, ...]:
    """Return *notes*, none held into a chord that it is foreign to, nor through the silence after a stop.

    A note that the next chord has too may be held over; a melody's notes are its own affair.
    """
    return tuple(_released(note, harmony) for note in notes)


def _released(note: Note, harmony: Harmony) -> Note:
    """Return *note* as long as the harmony lets it be."""
    index = harmony.index_of_stroke(note.tick)
    end_tick = note.end_tick
    if harmony.spans[index].cue is Cue.STOP:
        end_tick = min(end_tick, note.tick + STOP_HOLD_TICKS)
    index += 1
    while (
        index < len(harmony.spans)
        and harmony.spans[index].start_tick < end_tick
        and note.role is not Role.MELODY
    ):
        span = harmony.spans[index]
        if span.chord is None or note.pitch % 12 not in span.chord.pcs:
            end_tick = max(span.start_tick, note.tick + 1)
        index += 1
    return note if end_tick == note.end_tick else replace(note, length_ticks=end_tick - note.tick)
