"""A groove's hits bar by bar: which bar each belongs to, since a hit a hair before a bar line means the next bar."""

from __future__ import annotations

from dataclasses import dataclass

from handgroove.groove.hits import Groove, Hit
from handgroove.timeline import Bar

EARLY_SHARE = (
    1 / 12
)  # of a quarter note: how early a hit may come and still belong to the next bar's first beat
EARLY_TICKS = round(960 * EARLY_SHARE)


@dataclass(frozen=True, slots=True)
class BarHits:
    """One *bar* and its *hits*; *first* is the index of the first of them among the groove's hits."""

    bar: Bar
    first: int
    hits: tuple[Hit, ...]

    def offset_ticks(self, hit: Hit) -> int:
        """Return the ticks from the bar's start to *hit* (negative when it is early)."""
        return hit.tick - self.bar.start_tick


def part_bars(groove: Groove) -> tuple[BarHits, ...]:
    """Part *groove*'s hits into bars, empty ones included, from the first bar to the last hit's."""
    if not groove.hits:
        return ()
    ticks = [hit.tick for hit in groove.hits]
    found: list[BarHits] = []
    start, first = 0, 0
    while first < len(ticks):
        bar = groove.timeline.bar_at(start)
        last = first
        while last < len(ticks) and ticks[last] < bar.end_tick - EARLY_TICKS:
            last += 1
        found.append(BarHits(bar, first, groove.hits[first:last]))
        start, first = bar.end_tick, last
    return tuple(found)
