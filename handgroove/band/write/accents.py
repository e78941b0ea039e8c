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
from handgroove.band.read.tracks import meant_together
from handgroove.band.write.sketch import Sketch
from handgroove.strike import Asked, Role

# The most that loudness changes by
_REACH = {Role.COMPING: 0.3, Role.BASS: 0.3, Role.COLOUR: 0.3, Role.MELODY: 0.1}
_LOUDEST = 118


class Accents:
    """How hard the band strikes at each moment, beside the mean of its section."""

    def __init__(self, sketch: Sketch) -> None:
        self._weights: dict[int, float] = {}
        for cast in sketch.form.casts:
            if cast.role in (BandRole.UNUSED, BandRole.DOUBLE):
                continue
            for group in meant_together(cast.track.notes):
                loud = [note.velocity for note in group]
                weight = sum(loud) if cast.role is BandRole.DRUMS else max(loud)
                self._weights[group[0].meant] = self._weights.get(group[0].meant, 0) + weight
        self._relate(sketch)

    def _relate(self, sketch: Sketch) -> None:
        """Turn weights into shares of their section's mean."""
        places = sorted(self._weights)
        for section in sketch.form.sections:
            inside = places[bisect_left(places, section.start_tick) : bisect_left(places, section.end_tick)]
            mean = sum(self._weights[place] for place in inside) / max(1, len(inside))
            for place in inside:
                self._weights[place] /= mean

    def at(self, place: int) -> float:
        """Return how hard the band strikes at the written tick *place*: 1 is the section's mean, 0 nothing."""
        return self._weights.get(place, 0.0)


def shape_accents(sketch: Sketch, asked: Iterable[Asked]) -> list[Asked]:
    """Return *asked*, but for kicks and snares, louder where the band accents and softer where it hardly strikes."""
    accents = Accents(sketch)
    return [_shape(item, accents) if item.strike.role in _REACH else item for item in asked]


def _shape(item: Asked, accents: Accents) -> Asked:
    strike = item.strike
    lean = min(1.0, max(-1.0, accents.at(item.meant) - 1))
    velocity = round(strike.velocity * (1 + _REACH[strike.role] * lean))
    return replace(item, strike=replace(strike, velocity=min(_LOUDEST, max(1, velocity))))
