"""What pattern playing plays: loops of hits, and the cursor that walks along them.

A loop's hits are counted in ticks from its start. A cursor gives them where they fall in the song, with the written
tick that each means; changes are queued behind it, each beginning where the one before it ends.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from handgroove.groove.hits import Feel, Groove, Hit
from handgroove.groove.kit import Family
from handgroove.groove.know.levels import Levels
from handgroove.groove.suggest.lay_cells import LaidCells
from handgroove.host.figure_runs import Coming
from handgroove.host.links import Link, Own
from handgroove.timeline import Metre, Timeline

_TIMEKEEPERS = (Family.HAT, Family.RIDE)


@dataclass(frozen=True, slots=True)
class Loop:
    """A stretch of hits, *length_ticks* long, that is played again and again, or *once*.

    *places* are the hits' written ticks (empty = the hits' own are written ones). A fill's *landing* is struck where
    the next loop begins, in place of that loop's hat or ride.
    """

    name: str
    hits: tuple[Hit, ...]
    length_ticks: int
    once: bool = False
    landing: tuple[Hit, ...] = ()
    places: tuple[int, ...] = ()

    @staticmethod
    def of(groove: Groove, places: Sequence[int], name: str, *, once: bool = False) -> Loop:
        """Make a loop of a whole *groove* whose hits mean the written ticks *places*, its last bar filled up."""
        timeline = groove.timeline
        end_tick = max(timeline.end_tick, max(places, default=0) + 1)
        return Loop(name, groove.hits, timeline.bar_at(end_tick - 1).end_tick, once, places=tuple(places))

    def place(self, index: int) -> int:
        """Return the written tick of the hit number *index*."""
        return self.places[index] if self.places else self.hits[index].tick

    def laid(self, start_tick: int, from_tick: int) -> list[Coming]:
        """Return the hits from *from_tick* of the song on, landing included, where the loop begins at *start_tick*."""
        own = [(hit, hit.tick, self.place(index)) for index, hit in enumerate(self.hits)]
        own += [(hit, self.length_ticks, self.length_ticks) for hit in self.landing]
        return [
            Coming(replace(hit, tick=start_tick + tick), start_tick + place)
            for hit, tick, place in own
            if start_tick + place >= from_tick
        ]

    def landed(self, fill: Loop) -> Loop:
        """Return this loop as it begins after *fill*: with the fill's landing on its first tick."""
        pieces = {hit.piece for hit in fill.landing}
        if not pieces:
            return self
        rest = [
            (hit, self.place(index))
            for index, hit in enumerate(self.hits)
            if self.place(index) or not (hit.piece in pieces or hit.piece.family in _TIMEKEEPERS)
        ]
        both = sorted([*((hit, 0) for hit in fill.landing), *rest], key=lambda pair: pair[0].order)
        return replace(self, hits=tuple(hit for hit, _ in both), places=tuple(place for _, place in both))


@dataclass(frozen=True)
class Playable:
    """A pattern made ready for the stage: its translators (already fenced), its *loop*, *fills* and levels.

    A pattern without a loop only answers hits from outside. *own* strikes what is the hands' own.
    *feel* says how the beat swings, and *steps_per_beat* how the loop parts it (0 = the drummer's own strokes say).
    *cells* are the loop's for its comping (None = they are learned from what is played, or not wanted).
    """

    name: str
    links: tuple[Link, ...]
    levels: Levels
    timeline: Timeline
    loop: Loop | None = None
    fills: Mapping[str, Loop] = field(default_factory=dict)
    tempo_bpm: float | None = None
    own: Own | None = None
    feel: Feel = Feel()  # noqa: RUF009  (a frozen value)
    steps_per_beat: int = 0
    cells: LaidCells | None = None

    @property
    def metre(self) -> Metre:
        """Return the metre that it starts in."""
        return self.timeline.metres[0].metre


@dataclass(slots=True)
class _Stretch:
    loop: Loop
    start_tick: int
    until_tick: int | None
    index: int = 0
    round_tick: int = 0

    @property
    def place(self) -> int:
        """Return the written tick of the next hit."""
        return self.round_tick + self.loop.place(self.index)


class Cursor:
    """Walks along loops in the song's ticks; every hit is given once, in order."""

    __slots__ = ("_stretches",)

    def __init__(self) -> None:
        self._stretches: deque[_Stretch] = deque()

    @property
    def is_done(self) -> bool:
        """Return whether there is nothing to play."""
        return not self._stretches

    def clear(self) -> None:
        """Stop playing."""
        self._stretches.clear()

    def start(self, loop: Loop, from_tick: int) -> None:
        """Play *loop* from *from_tick* on, as if it had begun with the song (for a start in its midst)."""
        self.clear()
        rounds = 0 if loop.once else from_tick // loop.length_ticks
        until = loop.length_ticks if loop.once else None
        stretch = _Stretch(loop, 0, until, 0, rounds * loop.length_ticks)
        while stretch.index < len(loop.hits) and stretch.place < from_tick:
            stretch.index += 1
        self._stretches.append(stretch)

    def change(self, loop: Loop, at_tick: int) -> None:
        """Go over to *loop* at *at_tick*, dropping what was planned for later."""
        self._cut(at_tick)
        self._stretches.append(_Stretch(loop, at_tick, None, 0, at_tick))

    def fill(self, fill: Loop, bar_tick: int, at_tick: int, then: Loop) -> None:
        """Play *fill*, laid from *bar_tick*, from *at_tick* on (its hits before that are past), and *then* the loop."""
        self._cut(at_tick)
        end_tick = bar_tick + fill.length_ticks
        stretch = _Stretch(fill, at_tick, end_tick, 0, bar_tick)
        while stretch.index < len(fill.hits) and stretch.place < at_tick:
            stretch.index += 1
        self._stretches.append(stretch)
        self._stretches.append(
            _Stretch(then.landed(fill), end_tick, end_tick + then.length_ticks, 0, end_tick)
        )
        self.change(then, end_tick + then.length_ticks)

    def _cut(self, at_tick: int) -> None:
        """End what is planned at *at_tick*."""
        while self._stretches and self._stretches[-1].start_tick >= at_tick:
            self._stretches.pop()
        if self._stretches:
            last = self._stretches[-1]
            last.until_tick = at_tick if last.until_tick is None else min(at_tick, last.until_tick)

    def next_tick(self) -> int | None:
        """Return the tick of the next hit, or None if none is left."""
        while self._stretches:
            stretch = self._stretches[0]
            if not stretch.loop.hits:
                if stretch.until_tick is None:
                    return None
                self._stretches.popleft()
                continue
            if stretch.index >= len(stretch.loop.hits):
                stretch.index = 0
                stretch.round_tick += stretch.loop.length_ticks
            if stretch.until_tick is None or stretch.place < stretch.until_tick:
                return stretch.round_tick + stretch.loop.hits[stretch.index].tick
            self._stretches.popleft()
        return None

    def take(self) -> tuple[Hit, int]:
        """Return the next hit where it falls in the song, and the written tick that it means, and go on.

        `next_tick` says that there is one.
        """
        stretch = self._stretches[0]
        hit, place = stretch.loop.hits[stretch.index], stretch.place
        stretch.index += 1
        return replace(hit, tick=stretch.round_tick + hit.tick), place
