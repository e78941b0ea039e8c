"""A groove's hits bar by bar: which bar each was meant in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handgroove.groove.hits import Groove, Hit
from handgroove.timeline import Bar


@dataclass(frozen=True, slots=True)
class BarHits:
    """One *bar* and its *hits*; *first* is the index of the first of them among the groove's hits.

    *places* are the hits' meant places in written ticks.
    """

    bar: Bar
    first: int
    hits: tuple[Hit, ...]
    places: tuple[int, ...]

    def offset_ticks(self, hit: Hit) -> int:
        """Return the ticks from the bar's start to where *hit* was played (negative when it is early)."""
        return hit.tick - self.bar.start_tick


def part_bars(groove: Groove, places: Sequence[int]) -> tuple[BarHits, ...]:
    """Part *groove*'s hits, meant at *places*, into bars, empty ones included, from the first bar to the last hit's."""
    found: list[BarHits] = []
    start, first, count = 0, 0, len(groove.hits)
    while first < count:
        bar = groove.timeline.bar_at(start)
        last = first
        while last < count and places[last] < bar.end_tick:
            last += 1
        found.append(BarHits(bar, first, groove.hits[first:last], tuple(places[first:last])))
        start, first = bar.end_tick, last
    return tuple(found)
