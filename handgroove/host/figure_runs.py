"""Figure runs: which hits a figure translator gets together, and which of them each of its strikes answers.

A fill that was found is one run, with what it lands on. Outside fills strokes that follow one another in less than a
beat are one, two bars of it at most: longer ones are a groove on toms, and its figure is a bar or two long.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Collection, Iterable, Sequence

from handgroove.groove.hits import Hit
from handgroove.groove.know.barlines import EARLY_TICKS
from handgroove.groove.know.find_fills import FoundFill
from handgroove.host.links import Link, find_takers
from handgroove.strike import Asked, Strike
from handgroove.timeline import Timeline

MOST_BARS = 2
ANSWERS_SEC = (
    0.046  # half a stroke of a hand's fastest single notes (11 a second): so near, a strike is a hit's own
)


def find_owned(links: Iterable[Link], hits: Sequence[Hit]) -> dict[int, Link]:
    """Return which of *hits* (indices, in order) go to a figure translator, and to which."""
    takers = {piece: link for piece, link in find_takers(links).items() if link.is_figure}
    return {i: takers[hit.piece] for i, hit in enumerate(hits) if hit.piece in takers} if takers else {}


def find_runs(
    links: Iterable[Link],
    hits: Sequence[Hit],
    timeline: Timeline,
    fills: Iterable[FoundFill],
    taken_over: Collection[int] = (),
) -> dict[int, tuple[int, ...]]:
    """Return the runs (indices) of *hits* by their first hit. The hits *taken_over* belong to no run."""
    owned = find_owned(links, hits)
    if not owned:
        return {}
    fill_of: dict[int, int] = {}
    for number, fill in enumerate(fills):
        first = bisect_left(hits, fill.landing_tick - EARLY_TICKS, key=lambda hit: hit.tick)
        last = bisect_right(hits, fill.landing_tick + EARLY_TICKS, key=lambda hit: hit.tick)
        fill_of.update(dict.fromkeys((*fill.hits, *range(first, last)), number))
    runs: list[list[int]] = []
    open_runs: dict[int, list[int]] = {}
    for index, link in owned.items():
        if index in taken_over:
            continue
        run = open_runs.get(id(link))
        if run is None or not _goes_on(run, index, hits, timeline, fill_of):
            run = open_runs[id(link)] = []
            runs.append(run)
        run.append(index)
    return {run[0]: tuple(run) for run in runs}


def _goes_on(
    run: Sequence[int], index: int, hits: Sequence[Hit], timeline: Timeline, fill_of: dict[int, int]
) -> bool:
    """Return whether the hit *index* belongs to *run*."""
    if fill_of.get(index) != fill_of.get(run[-1]):
        return False
    if index in fill_of:
        return True
    first, last, tick = hits[run[0]].tick, hits[run[-1]].tick, hits[index].tick
    bars = timeline.bar_at(tick + EARLY_TICKS).number - timeline.bar_at(first + EARLY_TICKS).number
    return tick - last < timeline.metre_at(last).beat_ticks and bars < MOST_BARS


def share_out(
    hits: Sequence[Hit], indices: Sequence[int], strikes: Iterable[Strike], answers_ticks: int
) -> dict[Hit, tuple[Asked, ...]]:
    """Return what each of *hits* brings of a figure's *strikes*; a hit that no strike stands for is not in it.

    A strike stands for the hits that it is nearest to, within *answers_ticks*, and comes with the first of these; one
    that stands for none comes with the last hit before it. *indices* are the hits' own in the groove (or none).
    """
    at = sorted((hits[0].tick + strike.delay_ticks, n, strike) for n, strike in enumerate(strikes))
    ticks = sorted({tick for tick, _, _ in at})
    stands_for: dict[int, list[int]] = {tick: [] for tick in ticks}
    shares: dict[Hit, tuple[Asked, ...]] = {}
    for number, hit in enumerate(hits):
        nearest = min(ticks, key=lambda tick: (abs(tick - hit.tick), tick), default=None)
        if nearest is not None and abs(nearest - hit.tick) <= answers_ticks:
            stands_for[nearest].append(number)
            shares[hit] = ()
    for tick, _, strike in at:
        numbers = stands_for[tick]
        before = [number for number, hit in enumerate(hits) if hit.tick <= tick]
        bringer = hits[numbers[0] if numbers else before[-1] if before else 0]
        asked = Asked(tick, strike, tuple(indices[number] for number in numbers) if indices else ())
        shares[bringer] = (*shares.get(bringer, ()), asked)
    return shares
