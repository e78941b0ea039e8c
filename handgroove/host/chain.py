"""The chain: each hit goes to the translator that takes its piece, with all that may be known at that moment.

The chain is causal and has no clock: it is fed hits in order, live and offline alike. It keeps only what a player's
ear keeps: what was struck just now, how dense each family is, and what each hand was last asked to hold.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Sequence
from copy import copy, deepcopy
from dataclasses import dataclass, field, replace
from typing import Any, Protocol

from handgroove.groove.hits import Hit, Stroke
from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.cells import voice_of
from handgroove.groove.know.importance import weigh_stroke
from handgroove.groove.know.levels import Levels
from handgroove.groove.meant.gestures import GestureKind
from handgroove.harmony.chord import Chord
from handgroove.host.fence import MOST_STRIKES, check_answer
from handgroove.host.figure_runs import ANSWERS_SEC, Coming, share_out
from handgroove.host.links import Link, PluginFault, find_takers
from handgroove.host.watch import describe
from handgroove.strike import Asked, Hand, LeaveOut, Moment, Role, Strike
from handgroove.timeline import Timeline

_METRIC = frozenset(
    {Family.HAT, Family.RIDE, Family.HAND}
)  # families whose accents the metre may stand in for
_ALONE = {family: frozenset({family}) for family in Family}
_RATE_WINDOW = 5  # strokes over which density is judged


@dataclass(frozen=True, slots=True)
class ChordHere:
    """What the harmony says at a written tick, placed for two hands: *chord*, *voicing* and *low* note.

    No *chord* is N.C.; what comes next is None or empty where it can't be known. *is_stop*: the chart has a stop here.
    """

    chord: Chord | None
    voicing: tuple[int, ...]
    low: int
    next_chord: Chord | None = None
    next_voicing: tuple[int, ...] = ()
    next_low: int | None = None
    ticks_to_change: int | None = None
    bass: int | None = None
    ticks_since_change: int | None = None
    is_stop: bool = False

    def pushed(self) -> ChordHere:
        """Return what holds where the kick has brought the next low note: of the voicing, what both chords have."""
        if self.next_low is None or self.next_chord is None:
            return self
        both = tuple(pitch for pitch in self.voicing if pitch % 12 in self.next_chord.pcs)
        return ChordHere(self.next_chord, both, self.next_low, bass=self.bass, ticks_since_change=0)


class Placing(Protocol):
    """Where the chain gets chord, voicing and low note from: a planned chart, or the chords played live."""

    def at(self, tick: int) -> ChordHere:
        """Return what holds at the written *tick*."""


@dataclass(slots=True)
class _Ear:
    """What is remembered of one family: its last strokes."""

    ticks: deque[int] = field(default_factory=lambda: deque(maxlen=_RATE_WINDOW))

    def rate(self, tick: int, ticks_per_sec: float) -> float:
        """Return how many strokes a second fall just now, over the last few."""
        if not self.ticks or tick - self.ticks[-1] > 2 * ticks_per_sec:
            return 0.0
        span = tick - self.ticks[0]
        return len(self.ticks) * ticks_per_sec / span if span else 0.0


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of one hit: the strikes *asked*, or, where there are none, the *reason*.

    *is_thinned* says that only some strokes of its kind are left out, because they come too fast.
    """

    asked: tuple[Asked, ...] = ()
    reason: str = ""
    is_thinned: bool = False


class Chain:
    """Feeds hits to translators. *links* come first to last: the first that takes a piece gets its hits.

    *stop* is the translator that joins in at a stop of the chart, with whatever is struck first (None = no stops).
    *importance* is each hit's, where the whole groove is known; where it is not, each is weighed as it comes.
    """

    def __init__(
        self,
        links: Sequence[Link],
        placing: Placing,
        levels: Levels,
        timeline: Timeline,
        seed: int = 0,
        stop: Link | None = None,
        importance: Sequence[float] = (),
    ) -> None:
        self.placing = placing
        self.levels = levels
        self.timeline = timeline
        self.faults: list[PluginFault] = []
        self.links = tuple(links)
        self._takers = find_takers(links)
        self._prepared: dict[Hit, Taken] = {}  # figures' shares of hits to come
        self._bypassed: set[str] = set()
        self._ears: dict[Family, _Ear] = {}
        self._struck: tuple[int, frozenset[Family]] = (-(2**40), frozenset())
        self._held: dict[Hand, tuple[int, tuple[int, ...]]] = {Hand.LEFT: (0, ()), Hand.RIGHT: (0, ())}
        self._seed = seed
        self._stop, self._stopped_tick = stop, -(2**40)
        self._importance = importance
        self._pushed_until = -(2**40)

    def bypass(self, name: str) -> None:
        """Let the translator called *name* answer no more (it failed, or took too long)."""
        self._bypassed.add(name)

    def taker(self, piece: Piece) -> str:
        """Return the name of the translator that takes *piece*, or an empty string."""
        link = self._takers.get(piece)
        return link.name if link else ""

    def take(
        self,
        index: int,
        hit: Hit,
        place: int,
        gesture: GestureKind = GestureKind.SINGLE,
        graces: Sequence[tuple[int, Hit]] = (),
    ) -> Taken:
        """Return what the translators ask for *hit*, which is the groove's number *index* and meant at *place*.

        *place* is a written tick. Hits come in order of time. *graces* are its *gesture*'s other strokes, numbered.
        """
        placed, moment = self._moment(index, hit, place, gesture, graces)
        stop = self._stop if placed.is_stop else None
        since = placed.ticks_since_change or 0
        if stop and since > 0:
            return Taken(reason="the chart stops here: both hands are silent until its next chord")
        taken = self._answer(self._takers.get(hit.piece), index, hit, moment, place)
        if graces and taken.asked:
            taken = Taken(_shared(taken.asked, graces))
        if stop and place - since != self._stopped_tick:
            # The first stroke of a stop brings the chord of both hands; what falls with it joins in.
            self._stopped_tick = place - since
            struck = self._answer(stop, index, hit, moment, place)
            taken = Taken((*taken.asked, *struck.asked)) if struck.asked else taken
        if taken.reason and place < self._pushed_until and not placed.voicing:
            taken = Taken(
                reason="the kick has brought the next chord, and the right hand has no tone in both"
            )
        change = placed.ticks_to_change if placed.low != placed.next_low else None
        for item in taken.asked:
            strike = item.strike
            if change and strike.role is Role.KICK and placed.next_low in strike.pitches:
                # The kick takes the next chord's low note: from here on nothing of the old chord alone is struck.
                self._pushed_until = place + change
            if strike.grace:
                continue
            self._held[strike.hand] = (item.tick + strike.hold_ticks, strike.pitches)
        return taken

    @property
    def messages(self) -> list[str]:
        """Return a line for each translator that failed, and for each that was refused because its name is taken."""
        doubles = dict.fromkeys(double for link in self.links for double in link.doubles)
        return [*doubles, *(fault.text for fault in self.faults)]

    def prepare(self, coming: Sequence[Coming]) -> None:
        """Have figure translators answer the hits that are *coming*, in order; `take` then gives each its share."""
        if coming:
            first = coming[0].hit.tick
            self._prepared = {hit: share for hit, share in self._prepared.items() if hit.tick >= first}
        for link in self.links:
            run = [one for one in coming if link.is_figure and self._takers.get(one.hit.piece) is link]
            if not run or link.name in self._bypassed:
                continue
            moments = self._foresee(run)
            answer = self._ask(link, link.translator.figure, len(run), [one.hit for one in run], moments)
            if isinstance(answer, LeaveOut):
                self._prepared.update((one.hit, Taken((), answer.reason)) for one in run)
                continue
            shares = share_out(run, answer, moments[0].ticks(ANSWERS_SEC))
            for one in run:
                left_out = "" if one.hit in shares else f"{link.name} gives it no note of its own"
                self._prepared[one.hit] = Taken(shares.get(one.hit, ()), left_out)

    def _foresee(self, coming: Iterable[Coming]) -> list[Moment]:
        """Return the moments of hits that are *coming*; what was heard and what is asked for next stay as they are."""
        kept = self.placing, self._ears, self._struck
        self.placing, self._ears, self._struck = (
            copy(self.placing),
            deepcopy(self._ears),
            (-(2**40), frozenset()),
        )
        try:
            return [self._moment(one.number, one.hit, one.place, GestureKind.SINGLE, ())[1] for one in coming]
        finally:
            self.placing, self._ears, self._struck = kept

    def _answer(self, link: Link | None, index: int, hit: Hit, moment: Moment, place: int) -> Taken:
        """Return what *link*'s translator asks for *hit*, or why nothing; *index* is the hit's number."""
        if link is None:
            return Taken(reason="no translator takes it in this pattern")
        if link.name in self._bypassed:
            return Taken(reason=_bypassed(link))
        if link.is_figure:
            unknown = Taken(reason=f"{link.name} takes whole figures, and this one was not known ahead")
            return self._prepared.pop(hit, unknown)
        answer = self._ask(link, link.translator.strikes, 1, hit, moment)
        if isinstance(answer, LeaveOut):
            return Taken(reason=answer.reason, is_thinned=answer.is_thinned)
        asked = self._placed(answer, index, hit.tick, place)
        return Taken(asked) if asked else Taken(reason=f"{link.name} gives it nothing")

    def _ask(self, link: Link, method: Any, count: int, *args: Any) -> Sequence[Strike] | LeaveOut:
        """Return what *link*'s translator answers to *count* hits; one that fails is bypassed from now on."""
        try:
            answer = method(*args)
            if not link.is_own:
                answer = check_answer(answer, MOST_STRIKES * count)
        except (Exception, SystemExit) as error:  # a plugin may fail in any way; the music goes on
            self.bypass(link.name)
            self.faults.append(PluginFault(link.name, describe(error), link.origin))
            return LeaveOut(_bypassed(link))
        return answer if isinstance(answer, LeaveOut) else self._handed(link, answer)

    @staticmethod
    def _placed(strikes: Sequence[Strike], index: int, tick: int, place: int) -> tuple[Asked, ...]:
        return tuple(
            [
                Asked(tick + strike.delay_ticks, strike, (index,), place + _written(strike.delay_ticks))
                for strike in strikes
            ]
        )

    @staticmethod
    def _handed(link: Link, strikes: Sequence[Strike]) -> Sequence[Strike]:
        if link.hand is None:
            return strikes
        return [s if s.hand is link.hand else replace(s, hand=link.hand, fingers=()) for s in strikes]

    def _stroke(self, hit: Hit, offset_ticks: int, beat_ticks: int) -> Stroke:
        """Return how the hit was struck; where a hat's velocities are all alike, beats are its accents."""
        stroke = self.levels.stroke(hit)
        if hit.piece.family in _METRIC and self.levels.is_flat(hit.piece):
            return Stroke.NORMAL if offset_ticks % beat_ticks else Stroke.ACCENT
        return stroke

    def _moment(
        self, index: int, hit: Hit, place: int, gesture: GestureKind, graces: Sequence[tuple[int, Hit]]
    ) -> tuple[ChordHere, Moment]:
        tick, family = hit.tick, hit.piece.family
        tempo_bpm = self.timeline.tempo_at(tick)
        bar = self.timeline.bar_at(place)
        metre, offset = bar.metre, place - bar.start_tick
        placed = self.placing.at(place)
        if place < self._pushed_until:
            placed = placed.pushed()
        ear = self._ears.get(family)
        if ear is None:
            ear = self._ears[family] = _Ear()
        together = _ALONE[family] if self._struck[0] != place else self._struck[1] | _ALONE[family]
        self._struck = (place, together)
        left_end, left = self._held[Hand.LEFT]
        right_end, right = self._held[Hand.RIGHT]
        stroke = self._stroke(hit, offset, metre.beat_ticks)
        if 0 <= index < len(self._importance):
            importance = self._importance[index]
        else:
            importance = weigh_stroke(voice_of(hit, self.levels), stroke, metre, offset)
        moment = Moment(
            tick,
            bar.number,
            offset,
            metre,
            tempo_bpm,
            placed.chord,
            placed.voicing,
            placed.low,
            stroke,
            placed.next_chord,
            placed.next_voicing,
            placed.next_low,
            placed.ticks_to_change,
            placed.bass,
            together,
            tick - ear.ticks[-1] if ear.ticks else None,
            ear.rate(tick, 16 * tempo_bpm),
            left if left_end > tick else (),
            right if right_end > tick else (),
            self._seed,
            placed.ticks_since_change,
            gesture,
            tuple((grace.tick - tick, grace.velocity) for _, grace in graces),
            importance,
        )
        ear.ticks.append(tick)
        return placed, moment


def _written(delay_ticks: int) -> int:
    """Return how much later than its hit a strike is written: in thirty-seconds or their triplets, at least one."""
    if delay_ticks <= 0:
        return 0
    steps = (max(1, round(delay_ticks / 120)) * 120, max(1, round(delay_ticks / 160)) * 160)
    return min(steps, key=lambda ticks: abs(ticks - delay_ticks))


def _bypassed(link: Link) -> str:
    return f"the translator {link.name!r} failed and is bypassed"


def _shared(asked: Sequence[Asked], graces: Sequence[tuple[int, Hit]]) -> tuple[Asked, ...]:
    """Return *asked* with each of *graces* (numbers and hits) given to the strike nearest to it in time.

    So a little note stands for its own stroke, and a main note for the strokes that it took in.
    """
    hits: list[tuple[int, ...]] = [() if item.strike.grace else item.hits for item in asked]
    for index, other in graces:
        nearest = min(range(len(asked)), key=lambda place: abs(asked[place].tick - other.tick))
        hits[nearest] = (*hits[nearest], index)
    return tuple(
        replace(item, hits=tuple(sorted(mine)) or item.hits) for item, mine in zip(asked, hits, strict=True)
    )
