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
from handgroove.groove.suggest.cell_model import CellStroke
from handgroove.host.fence import MOST_STRIKES, check_answer
from handgroove.host.figure_runs import ANSWERS_SEC, Coming, share_out
from handgroove.host.links import Link, Own, PluginFault, find_celled, find_takers
from handgroove.host.own_strokes import LOW_ROLES, NEVER, ChordHere, OwnStrokes, Taken
from handgroove.host.watch import describe
from handgroove.strike import LEFT, RIGHT, Asked, Hand, LeaveOut, Moment, Role, Strike
from handgroove.timeline import Bar, Timeline

_ALONE = {family: frozenset({family}) for family in Family}
_RATE_WINDOW = 5  # strokes over which density is judged
PUSH_TICKS = 480  # so long before a change a kick may take the next chord's low note; by setting, a beat
LOUDNESS_SHARE = 0.1  # of each stroke in the running mean of how hard the drummer plays
USUAL_LOUDNESS = 80  # before the first stroke


class Placing(Protocol):
    """Where the chain gets chord, voicing and low note from: a planned chart, or the chords played live."""

    def at(self, tick: int) -> ChordHere:
        """Return what holds at the written *tick*."""


class Cells(Protocol):
    """Where the chain gets the comping's cells from: laid over a whole groove, or learned from what was played."""

    def at(self, place: int, bar: Bar, tempo_bpm: float) -> CellStroke | None:
        """Return what the cell asks at the written tick *place* in *bar* (None = no cell is known)."""

    def hear(self, place: int, piece: Piece, stroke: Stroke) -> None:
        """Take in a stroke on *piece*, meant at *place*."""


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


class Chain:
    """Feeds hits to translators. *links* come first to last: the first that takes a piece gets its hits.

    *own* are those that strike what is the hands' own (None = nothing is): see `handgroove.host.own_strokes`.
    *cells* say what comping by cells plays (None = it answers each stroke by itself).
    *importance* is each hit's, where the whole groove is known; where it is not, each is weighed as it comes.
    """

    def __init__(
        self,
        links: Sequence[Link],
        placing: Placing,
        levels: Levels,
        timeline: Timeline,
        seed: int = 0,
        own: Own | None = None,
        cells: Cells | None = None,
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
        self._struck: tuple[int, frozenset[Family]] = (NEVER, frozenset())
        self._held: dict[Hand, tuple[int, tuple[int, ...]]] = {Hand.LEFT: (0, ()), Hand.RIGHT: (0, ())}
        self._seed = seed
        self._importance = importance
        self._own = OwnStrokes(own, self._answer) if own else None
        self._celled, self._cells = find_celled(links) if cells else None, cells
        self._pushed_until = self._last_place = self._celled_place = NEVER  # where the cell was last answered
        self._loudness = 0.0
        self._roots: dict[int, int] = {}  # where each low pitch class was struck last
        self._row = (0, 0)

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
        self._last_place = place
        own, since = self._own, placed.ticks_since_change
        if own and placed.is_stop:
            return self._kept(own.at_stop(index, hit, moment, place, since or 0), placed, place)
        if own and own.joined(hit, place):
            return Taken(joins=True)
        link = self._takers.get(hit.piece)
        if moment.cell and link is not None and link.cell:
            if place == self._celled_place:
                return Taken(reason="struck with another: the cell's stroke stands for both")
            self._celled_place = place
        taken = self._answer(link, index, hit, moment, place)
        if graces and taken.asked:
            taken = Taken(_shared(taken.asked, graces))
        if self._cells:
            self._cells.hear(place, hit.piece, moment.stroke)
        if own:
            if placed.push_ticks and since == 0:
                taken = own.with_push(taken, hit, moment, place)
            elif placed.push_ticks and since == placed.push_ticks:
                taken = own.held_over(taken, hit, place - since)
            if link is None or not link.is_figure:
                taken = own.with_line(taken, hit, moment, place)
        taken = self._kept(taken, placed, place)
        if own and placed.push_ticks and since in (0, placed.push_ticks):
            return taken  # the push has brought both hands' chord
        joined = self._join(hit, moment, place)
        return (
            replace(taken, asked=(*taken.asked, *self._kept(joined, placed, place).asked))
            if joined
            else taken
        )

    def _join(self, hit: Hit, moment: Moment, place: int) -> Taken | None:
        """Return the cell's stroke where none of the comping's own pieces is struck and *hit* brings it (None = not).

        It stands for no hit: what the hit asks for itself does. Where the hit is a kick that pushes, it goes with it.
        """
        cell, link = moment.cell, self._celled
        if not cell or link is None or cell.carrier is not hit.piece.family or place == self._celled_place:
            return None
        if any(one.tick >= hit.tick for one in self._prepared):  # a figure goes on
            return None
        self._celled_place = place
        if place < self._pushed_until:
            placed = self.placing.at(place).pushed()
            moment = replace(moment, chord=placed.chord, voicing=placed.voicing, ticks_since_change=None)
        return self._answer(link, -1, hit, moment, place)

    def pass_by(self, place: int) -> None:
        """Note that the drummer strikes at *place* what somebody else takes."""
        self._last_place = place

    def own(self, place: int, tick: int, *, with_line: bool = True) -> Taken:
        """Return what hands strike of their own at the written *place*, at *tick*, where no hit has brought it.

        The low line goes on only *with_line*, and only if the drummer has been playing for the last half bar.
        """
        if self._own is None:
            return Taken()
        placed = self._placed_at(place)
        moment = self._make_moment(placed, tick, place, self.timeline.bar_at(place), Stroke.NORMAL)
        with_line = with_line and place - self._last_place < moment.metre.bar_ticks // 2
        return self._kept(self._own.alone(placed, moment, place, with_line=with_line), placed, place)

    def next_own(self, place: int) -> int:
        """Return the first written tick after *place* at which hands may strike something of their own."""
        bar = self.timeline.bar_at(place)
        places = [bar.end_tick]
        if self._own:
            places += [bar.start_tick + offset for offset in self._own.places(bar.metre)]
        change = self.placing.at(place).ticks_to_change
        return min(at for at in [*places, place + (change or 0)] if at > place)

    def _kept(self, taken: Taken, placed: ChordHere, place: int) -> Taken:
        """Return *taken*, which is kept in mind: what each hand holds, and whether the next chord was brought early."""
        change = placed.ticks_to_change if placed.low != placed.next_low else None
        for item in taken.asked:
            strike = item.strike
            if change and strike.role is Role.KICK and placed.next_low in strike.pitches:
                # The kick takes the next chord's low note: from here on nothing of the old chord alone is struck.
                # Earlier a tone of both chords is only the old one's fifth.
                foreign = placed.chord is None or strike.pitches[0] % 12 not in placed.chord.pcs
                if change <= PUSH_TICKS or (foreign and change <= 2 * PUSH_TICKS):
                    self._pushed_until = place + change
            if strike.grace:
                continue
            if strike.role in LOW_ROLES:
                self._roots[strike.pitches[0] % 12] = place
            self._held[strike.hand] = (item.tick + strike.hold_ticks, strike.pitches)
            if strike.hand is RIGHT:
                pitch, count = self._row
                alone = strike.pitches[0] if len(strike.pitches) == 1 else 0
                self._row = (alone, count + 1 if alone == pitch else 1) if alone else (0, 0)
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
        kept = self.placing, self._ears, self._struck, self._cells, self._loudness
        self.placing, self._ears, self._struck, self._cells = (
            copy(self.placing),
            deepcopy(self._ears),
            (NEVER, frozenset()),
            None,
        )
        try:
            return [self._moment(one.number, one.hit, one.place, GestureKind.SINGLE, ())[1] for one in coming]
        finally:
            self.placing, self._ears, self._struck, self._cells, self._loudness = kept

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
                Asked(
                    tick + strike.delay_ticks,
                    strike,
                    (index,) if index >= 0 else (),
                    place + _written(strike.delay_ticks),
                )
                for strike in strikes
            ]
        )

    @staticmethod
    def _handed(link: Link, strikes: Sequence[Strike]) -> Sequence[Strike]:
        if link.hand is None:
            return strikes
        return [s if s.hand is link.hand else replace(s, hand=link.hand, fingers=()) for s in strikes]

    def _is_rooted(self, placed: ChordHere, place: int) -> bool:
        """Return whether the low note of the chord has been struck since it came, or early for it."""
        since = placed.ticks_since_change
        return since is None or self._roots.get(placed.low % 12, NEVER) >= place - since - PUSH_TICKS

    def _placed_at(self, place: int) -> ChordHere:
        placed = self.placing.at(place)
        return placed.pushed() if place < self._pushed_until else placed

    def _moment(
        self, index: int, hit: Hit, place: int, gesture: GestureKind, graces: Sequence[tuple[int, Hit]]
    ) -> tuple[ChordHere, Moment]:
        """Return what holds at *hit*, and its moment; it is heard."""
        tick, family = hit.tick, hit.piece.family
        bar = self.timeline.bar_at(place)
        placed = self._placed_at(place)
        ear = self._ears.get(family)
        if ear is None:
            ear = self._ears[family] = _Ear()
        together = _ALONE[family] if self._struck[0] != place else self._struck[1] | _ALONE[family]
        self._struck = (place, together)
        stroke = self.levels.stroke_in_bar(hit, place - bar.start_tick, bar.metre.beat_ticks)
        if stroke is not Stroke.GHOST:
            before = self._loudness or hit.velocity
            self._loudness = before + LOUDNESS_SHARE * (hit.velocity - before)
        heard = (
            together,
            tick - ear.ticks[-1] if ear.ticks else None,
            ear.rate(tick, 16 * self.timeline.tempo_at(tick)),
        )
        if 0 <= index < len(self._importance):
            importance = self._importance[index]
        else:
            importance = weigh_stroke(voice_of(hit, self.levels), stroke, bar.metre, place - bar.start_tick)
        done = (gesture, tuple([(grace.tick - tick, grace.velocity) for _, grace in graces]), importance)
        moment = self._make_moment(placed, tick, place, bar, stroke, heard, done)
        ear.ticks.append(tick)
        return placed, moment

    def _make_moment(
        self,
        placed: ChordHere,
        tick: int,
        place: int,
        bar: Bar,
        stroke: Stroke,
        heard: tuple[frozenset[Family], int | None, float] = (frozenset(), None, 0.0),
        done: tuple[GestureKind, tuple[tuple[int, int], ...], float] = (GestureKind.SINGLE, (), 1.0),
    ) -> Moment:
        """Return the moment at *tick*, meant at *place* in *bar*.

        *heard* is what was struck together, how long ago the family was heard and how fast; *done* the gesture made
        and how much it matters.
        """
        left_end, left = self._held[LEFT]
        right_end, right = self._held[RIGHT]
        return Moment(
            tick,
            bar.number,
            place - bar.start_tick,
            bar.metre,
            self.timeline.tempo_at(tick),
            placed.chord,
            placed.voicing,
            placed.low,
            stroke,
            placed.next_chord,
            placed.next_voicing,
            placed.next_low,
            placed.ticks_to_change,
            placed.bass,
            *heard,
            left if left_end > tick else (),
            right if right_end > tick else (),
            self._seed,
            placed.ticks_since_change,
            *done,
            placed.turn_low if bar.end_tick >= self.timeline.end_tick else None,
            round(self._loudness) or USUAL_LOUDNESS,
            placed.next_fixed,
            placed.last_chord,
            self._is_rooted(placed, place),
            self._cells.at(place, bar, self.timeline.tempo_at(tick)) if self._cells else None,
            self._row,
        )


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
