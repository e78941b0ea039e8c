"""Figure runs: which hits a figure translator gets together, and which of them each of its strikes stands for.

A fill that was found is one run, with what it lands on. Outside fills strokes that follow one another in less than a
beat are one, two bars of it at most: longer ones are a groove on toms, and its figure is a bar or two long.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from handgroove.groove.hits import Hit
from handgroove.groove.know.find_fills import FoundFill
from handgroove.groove.meant.reading import Reading
from handgroove.host.links import Link, find_takers
from handgroove.strike import Asked, Strike

MOST_BARS = 2
# Half a stroke of a hand's fastest single notes (11 a second): so near, a strike is a hit's own
ANSWERS_SEC = 0.046


@dataclass(frozen=True, slots=True)
class Coming:
    """A *hit* that is known ahead, the written tick (*place*) that it is meant at, and its *number* in the groove.

    The number is -1 where there is no groove that counts it.
    """

    hit: Hit
    place: int
    number: int = -1


def find_owned(links: Iterable[Link], hits: Sequence[Hit]) -> dict[int, Link]:
    """Return which of *hits* (indices, in order) go to a figure translator, and to which."""
    takers = {piece: link for piece, link in find_takers(links).items() if link.is_figure}
    return {i: takers[hit.piece] for i, hit in enumerate(hits) if hit.piece in takers} if takers else {}


def find_runs(
    owned: Mapping[int, Link], reading: Reading, fills: Iterable[FoundFill], taken_over: Collection[int] = ()
) -> dict[int, tuple[int, ...]]:
    """Return the runs (indices) among the *owned* hits of *reading*, by their first hit.

    The hits *taken_over* belong to no run.
    """
    fill_of = {
        index: number
        for number, fill in enumerate(fills if owned else ())
        for index in (*fill.hits, *reading.hits_at(fill.landing_tick))
    }
    runs: list[list[int]] = []
    latest: dict[int, list[int]] = {}
    for index, link in owned.items():
        if index in taken_over:
            continue
        run = latest.get(id(link))
        if run is None or not _goes_on(run, index, reading, fill_of):
            run = latest[id(link)] = []
            runs.append(run)
        run.append(index)
    return {run[0]: tuple(run) for run in runs}


def _goes_on(run: Sequence[int], index: int, reading: Reading, fill_of: Mapping[int, int]) -> bool:
    """Return whether the hit *index* belongs to *run*."""
    if fill_of.get(index) != fill_of.get(run[-1]):
        return False
    if index in fill_of:
        return True
    first, last, place = (reading.places[number] for number in (run[0], run[-1], index))
    timeline = reading.groove.timeline
    bars = timeline.bar_at(place).number - timeline.bar_at(first).number
    return place - last < timeline.metre_at(last).beat_ticks and bars < MOST_BARS


def share_out(
    run: Sequence[Coming], strikes: Sequence[Strike], answers_ticks: int
) -> dict[Hit, tuple[Asked, ...]]:
    """Return what each hit of *run* brings of a figure's *strikes*; a hit that no strike stands for is not in it.

    A strike stands for the hits that it is nearest to, within *answers_ticks*, and comes with the first of these; one
    that stands for none comes with the last hit before it.
    """
    first_tick = run[0].hit.tick
    stands_for: dict[int, list[Coming]] = {first_tick + strike.delay_ticks: [] for strike in strikes}
    shares: dict[Hit, tuple[Asked, ...]] = {}
    for one in run:
        nearest = min(stands_for, key=lambda tick: (abs(tick - one.hit.tick), tick), default=None)
        if nearest is not None and abs(nearest - one.hit.tick) <= answers_ticks:
            stands_for[nearest].append(one)
            shares[one.hit] = ()
    for strike in sorted(strikes, key=lambda strike: strike.delay_ticks):
        tick = first_tick + strike.delay_ticks
        own = stands_for[tick]
        bringer = own[0] if own else ([one for one in run if one.hit.tick <= tick] or run)[-1]
        place = bringer.place if own else bringer.place + max(0, tick - bringer.hit.tick)
        numbers = tuple(one.number for one in own if one.number >= 0)
        shares[bringer.hit] = (*shares.get(bringer.hit, ()), Asked(tick, strike, numbers, place))
    return shares
