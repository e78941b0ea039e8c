"""The one reading of a groove: for every hit its meant place and its gesture, found once and asked by everybody.

A raw tick is never asked what it means anywhere else. *Written* ticks are the page's: straight (swing taken out) and
without the drummer's lean; *played* ticks are the file's.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from handgroove.groove.hits import Feel, Groove
from handgroove.groove.meant.gestures import Gesture


@dataclass(frozen=True)
class Reading:
    """What *groove*'s strokes mean.

    *places* are the hits' meant places in written ticks, hit by hit. *gestures* are those of more than one stroke, in
    order. *lean_ticks* is how far the drummer plays behind (before: negative) the file's beat as a whole. *doubt* says
    in a sentence where the reading is not sure ("" = it is).
    """

    groove: Groove
    places: tuple[int, ...]
    gestures: tuple[Gesture, ...] = ()
    feel: Feel = field(default_factory=Feel)
    lean_ticks: int = 0
    doubt: str = ""

    @cached_property
    def gesture_of(self) -> dict[int, Gesture]:
        """Return the gesture that each stroke of one belongs to, by the hit's index (main strokes and graces)."""
        return {index: gesture for gesture in self.gestures for index in (gesture.main, *gesture.graces)}

    def place_at(self, tick: int) -> int:
        """Return the written tick that something played at *tick* belongs to."""
        raise NotImplementedError

    def played_at(self, place: int) -> int:
        """Return the tick at which this drummer plays the written tick *place*."""
        raise NotImplementedError


def read_groove_meaning(groove: Groove) -> Reading:
    """Return the reading of *groove*."""
    raise NotImplementedError
