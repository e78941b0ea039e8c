"""Where the band strikes together: stops and pushes, and nothing in the silence after a stop."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from handgroove.band.read.song_form import Stop
from handgroove.band.write.sketch import Sketch
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.translators.loudness import left_velocity, right_velocity

_TUTTI_VELOCITY = 104  # of a stop or push that no drum marks
_WEIGHT = 2.0


def ask_tutti(sketch: Sketch, right: Collection[int], left: Collection[int]) -> list[Asked]:
    """Return chords of both hands at stops and pushes, in each hand that is not struck there already.

    *right* and *left* are the places at which the hands are struck.
    """
    holds = {stop.place: (stop.tick, max(1, stop.silent_tick - stop.tick)) for stop in sketch.form.stops}
    holds |= {push.place: (push.tick, push.line_tick - push.place + 480) for push in sketch.form.pushes}
    asked = []
    for place, (tick, hold) in sorted(holds.items()):
        voicing, low = sketch.voicing_at(place), sketch.low_at(place)
        if voicing and place not in right:
            loud = right_velocity(_TUTTI_VELOCITY)
            strike = Strike(voicing, loud, Hand.RIGHT, Role.COMPING, hold, until_next=True, weight=_WEIGHT)
            asked.append(Asked(tick, strike, place=place))
        if place not in left:
            loud = left_velocity(_TUTTI_VELOCITY)
            octave = (low, low + 12)
            strike = Strike(octave, loud, Hand.LEFT, Role.BASS, hold, until_next=True, weight=_WEIGHT)
            asked.append(Asked(tick, strike, place=place))
    return asked


def leave_silent(asked: Iterable[Asked], stops: Sequence[Stop]) -> list[Asked]:
    """Return *asked* without what would be struck in a stop's silence."""
    return [item for item in asked if not any(stop.place < item.meant < stop.end_place for stop in stops)]
