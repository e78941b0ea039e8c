"""What kind of drumming a groove is, as far as it says how two hands take it: straight, swing, shuffle or one drop.

Common practice, no source: a ride leads swing, a backbeat makes swung eighths a shuffle, and a one drop leaves 1 empty
and strikes kick and snare together on 3 (or, counted half as fast, on 2 and 4). The shares are design choices.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from enum import StrEnum

from handgroove.groove.kit import Family
from handgroove.groove.know.barlines import BarHits
from handgroove.metre import beat_offsets

MOST = 0.5  # of the bars
TIMEKEEPERS = (Family.RIDE, Family.HAT)


class Drumming(StrEnum):
    """How the time is played."""

    STRAIGHT = "straight"
    SWING = "swing"
    SHUFFLE = "shuffle"
    ONE_DROP = "one drop"


def find_drumming(bars: Collection[BarHits], *, swings_eighths: bool) -> Drumming:
    """Return the kind of drumming of *bars*; *swings_eighths* says that it is the eighths that swing."""
    struck = [_families(part) for part in bars if part.hits and part.bar.number > 0]
    keepers = [hit.piece.family for part in bars for hit in part.hits if hit.piece.family in TIMEKEEPERS]
    leads_ride = keepers.count(Family.RIDE) >= MOST * max(1, len(keepers))
    quarter = next((part.bar.metre.beat_ticks for part in bars), 960)

    def share(*places: int, both: bool = False) -> float:
        wanted = {Family.KICK, Family.SNARE} if both else {Family.SNARE}
        kept = sum(all(wanted <= bar.get(place * quarter, set()) for place in places) for bar in struck)
        return kept / max(1, len(struck))

    empty = sum(Family.KICK not in bar.get(0, ()) for bar in struck) / max(1, len(struck))
    drops = max(share(2, both=True), share(1, 3, both=True)) >= MOST
    in_four = all(len(beat_offsets(part.bar.metre)) == 4 for part in bars)
    if in_four and drops and empty >= MOST and not leads_ride:
        return Drumming.ONE_DROP
    if not swings_eighths:
        return Drumming.STRAIGHT
    return Drumming.SWING if leads_ride and share(1, 3) < MOST else Drumming.SHUFFLE


def _families(part: BarHits) -> Mapping[int, set[Family]]:
    """Return which families are struck at each offset of the bar."""
    found: dict[int, set[Family]] = {}
    for hit, place in zip(part.hits, part.places, strict=True):
        found.setdefault(place - part.bar.start_tick, set()).add(hit.piece.family)
    return found
