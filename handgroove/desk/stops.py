"""The silence after a chart's stop: nothing is struck in it, and nothing sounds on."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence

from handgroove.desk.ends import STOP_HOLD_TICKS
from handgroove.groove.meant.reading import Reading
from handgroove.harmony.chart import Cue, Harmony
from handgroove.host.own_strokes import SILENT
from handgroove.part import Change, Omission
from handgroove.strike import Asked

READY_SEC = 0.1  # both hands need it to be there (design choice)
HINDERS = "the chart's stop comes within a tenth of a second, and both hands must be ready"


def find_silences(harmony: Harmony, played_at: Callable[[int], int]) -> tuple[int, ...]:
    """Return the ticks, in order, from which nothing sounds on: an eighth after each stop of *harmony*."""
    return tuple(
        played_at(span.start_tick) + STOP_HOLD_TICKS for span in harmony.spans if span.cue is Cue.STOP
    )


def leave_stops(
    asked: Sequence[Asked], harmony: Harmony, reading: Reading, *, figures: bool = False
) -> tuple[list[Asked], list[Omission]]:
    """Return *asked* without what would be struck in a stop's silence or hinder the stop, and a line for each strike.

    What is asked on a stop is the stop itself; of *figures* that isn't so.
    """
    stops = [span.start_tick for span in harmony.spans if span.cue is Cue.STOP]
    if not stops:
        return list(asked), []
    timeline = reading.groove.timeline
    played = {place: reading.played_at(place) for place in stops}
    played |= {item.meant: item.tick for item in asked if item.meant in played and not figures}
    kept, omissions = [], []
    hits = reading.groove.hits
    for item in asked:
        span, coming = harmony.at(item.meant), bisect_right(stops, item.meant)
        reason = ""
        if span.cue is Cue.STOP and item.meant >= span.start_tick + (not figures):
            reason = SILENT
        elif coming < len(stops):
            near_ticks = READY_SEC * timeline.tempo_at(item.tick) * 16
            reason = HINDERS if item.tick > played[stops[coming]] - near_ticks else ""
        if reason:
            subject = hits[item.hits[0]].piece.value if item.hits else "figure"
            omissions.append(Omission(item.meant, Change.LEFT_OUT, subject, reason, hits=item.hits))
        else:
            kept.append(item)
    return kept, omissions
