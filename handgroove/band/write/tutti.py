"""Where the band strikes together: stops and pushes, and the silence after a stop."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from handgroove.band.read.song_form import Stop
from handgroove.band.read.tracks import has_near
from handgroove.band.write.sketch import Sketch
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.translators.loudness import left_velocity, right_velocity

_TUTTI_VELOCITY = 104  # of a stop or push that no drum marks
_WEIGHT = 2.0


def ask_tutti(sketch: Sketch, right: Sequence[int], left: Sequence[int]) -> list[Asked]:
    """Return chords of both hands at stops and pushes, in each hand that is not struck there already.

    *right* and *left* are the ticks, in order, at which the hands are struck.
    """
    holds = {stop.tick: stop.silent_tick - stop.tick for stop in sketch.form.stops}
    holds |= {push.tick: push.line_tick - push.tick + 480 for push in sketch.form.pushes}
    asked = []
    for tick, hold in sorted(holds.items()):
        voicing, low = sketch.voicing_at(tick), sketch.low_at(tick)
        if voicing and not has_near(right, tick, sketch.near):
            loud = right_velocity(_TUTTI_VELOCITY)
            strike = Strike(voicing, loud, Hand.RIGHT, Role.COMPING, hold, until_next=True, weight=_WEIGHT)
            asked.append(Asked(tick, strike))
        if not has_near(left, tick, sketch.near):
            loud = left_velocity(_TUTTI_VELOCITY)
            octave = (low, low + 12)
            strike = Strike(octave, loud, Hand.LEFT, Role.BASS, hold, until_next=True, weight=_WEIGHT)
            asked.append(Asked(tick, strike))
    return asked


def ask_silence(asked: Iterable[Asked], stops: Sequence[Stop], near: int) -> list[Asked]:
    """Return *asked* without what would sound into a stop's silence."""
    kept = []
    for item in asked:
        tick, hold = item.tick, item.strike.hold_ticks
        for stop in stops:
            if tick <= stop.silent_tick - 60 < tick + hold:
                hold = max(60, stop.silent_tick - tick)
            elif stop.silent_tick - 60 < tick < stop.end_tick - near:
                hold = 0
        if hold:
            kept.append(
                item
                if hold == item.strike.hold_ticks
                else replace(item, strike=replace(item.strike, hold_ticks=hold))
            )
    return kept
