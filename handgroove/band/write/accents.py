"""The band's accents in the piano's loudness: what many strike together, and hard, is struck harder.

A stroke's weight is what the band's players strike at that moment, added up (each player's loudest note, each limb of
the drummer, doubles left out), beside the mean of its section. Kicks and snares keep the drummer's own loudness. How
far it goes is ours, no source.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import replace

from handgroove.band.read.roles import BandRole
from handgroove.band.read.tracks import clusters
from handgroove.band.write.sketch import Sketch
from handgroove.strike import Asked, Role

_REACH = {
    Role.COMPING: 0.3,
    Role.BASS: 0.3,
    Role.COLOUR: 0.3,
    Role.MELODY: 0.1,
}  # most that loudness changes by
_LOUDEST = 118


class Accents:
    """How hard the band strikes at each moment, beside the mean of its section."""

    def __init__(self, sketch: Sketch) -> None:
        strokes: list[tuple[int, int]] = []
        for cast in sketch.casts:
            if cast.role in (BandRole.UNUSED, BandRole.DOUBLE):
                continue
            near = -1 if cast.role is BandRole.DRUMS else sketch.near
            strokes += [
                (group[0].tick, max(note.velocity for note in group))
                for group in clusters(cast.track.notes, near)
            ]
        strokes.sort()
        self._near = sketch.near
        self._ticks: list[int] = []
        self._weights: list[float] = []
        for tick, velocity in strokes:
            if self._ticks and tick - self._ticks[-1] <= sketch.near:
                self._weights[-1] += velocity
            else:
                self._ticks.append(tick)
                self._weights.append(velocity)
        self._relate(sketch)

    def _relate(self, sketch: Sketch) -> None:
        """Turn weights into shares of their section's mean."""
        for section in sketch.form.sections:
            first = bisect_left(self._ticks, section.start_tick - self._near)
            last = bisect_left(self._ticks, section.end_tick - self._near)
            if last > first:
                mean = sum(self._weights[first:last]) / (last - first)
                for place in range(first, last):
                    self._weights[place] /= mean

    def at(self, tick: int) -> float:
        """Return how hard the band strikes at *tick*: 1 is the section's mean, 0 nothing."""
        first = bisect_left(self._ticks, tick - self._near)
        last = bisect_left(self._ticks, tick + self._near + 1)
        return max(self._weights[first:last], default=0.0)


def shape_accents(sketch: Sketch, asked: Iterable[Asked]) -> list[Asked]:
    """Return *asked*, but for kicks and snares, louder where the band accents and softer where it hardly strikes."""
    accents = Accents(sketch)
    return [_shape(item, accents) if item.strike.role in _REACH else item for item in asked]


def _shape(item: Asked, accents: Accents) -> Asked:
    strike = item.strike
    lean = min(1.0, max(-1.0, accents.at(item.tick) - 1))
    velocity = round(strike.velocity * (1 + _REACH[strike.role] * lean))
    return replace(item, strike=replace(strike, velocity=min(_LOUDEST, max(1, velocity))))
