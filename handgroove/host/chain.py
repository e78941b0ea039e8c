"""The chain: each hit goes to the translator that takes its piece, with all that may be known at that moment.

The chain is causal and has no clock: it is fed hits in order, live and offline alike. It keeps only what a player's
ear keeps: what was struck just now, how dense each family is, and what each hand was last asked to hold.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Protocol

from handgroove.groove.hits import Hit, Stroke
from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.levels import Levels
from handgroove.groove.meant.gestures import GestureKind
from handgroove.harmony.chord import Chord
from handgroove.host.registry import make_translator
from handgroove.host.translator import HitTranslator
from handgroove.strike import Asked, Hand, LeaveOut, Moment, Strike
from handgroove.timeline import Timeline

TOGETHER_SEC = (
    0.03  # onsets closer than this are heard as one (order is told apart from about 20 ms on; margin ours)
)
_METRIC = frozenset(
    {Family.HAT, Family.RIDE, Family.HAND}
)  # families whose accents the metre may stand in for
_RATE_WINDOW = 5  # strokes over which density is judged


@dataclass(frozen=True, slots=True)
class ChordHere:
    """What the harmony says at a tick, placed for two hands: the *chord* (None = N.C.), *voicing* and *low* note, and
    what comes next (None or empty where it can't be known). *is_stop* says that the chart has a stop here."""

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


class Placing(Protocol):
    """Where the chain gets chord, voicing and low note from: a planned chart, or the chords played live."""

    def at(self, tick: int) -> ChordHere:
        """Return what holds at *tick*; ticks are asked for in order."""
        ...


@dataclass(frozen=True, slots=True)
class Link:
    """One translator at work: its *name*, the *pieces* it takes, and the *hand* it is told to use (None = its own)."""

    name: str
    pieces: frozenset[Piece]
    translator: HitTranslator
    hand: Hand | None = None


@dataclass(frozen=True, slots=True)
class PluginFault:
    """A translator that raised: its *name* and *error*, in one line."""

    name: str
    error: str


class Assigned(Protocol):
    """What a pattern says of one translator (see handgroove.patterns)."""

    @property
    def pieces(self) -> frozenset[Piece]: ...  # noqa: D102
    @property
    def use(self) -> str: ...  # noqa: D102
    @property
    def hand(self) -> Hand | None: ...  # noqa: D102
    @property
    def settings(self) -> Mapping[str, object]: ...  # noqa: D102
    @property
    def place(self) -> str: ...  # noqa: D102


def make_stop() -> Link:
    """Make the link that strikes a chart's stops: a chord of both hands, let go after an eighth."""
    name = "two-handed chord"
    return Link(name, frozenset(), make_translator(name, {"hold": 0.5}))


def make_links(assignments: Iterable[Assigned]) -> tuple[Link, ...]:
    """Make the translators that *assignments* name; raise HandgrooveError for an unknown one or a wrong setting."""
    return tuple(
        Link(item.use, item.pieces, make_translator(item.use, item.settings, item.place), item.hand)
        for item in assignments
    )


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
    """What became of one hit: the strikes *asked*, or, where there are none, the *reason*."""

    asked: tuple[Asked, ...] = ()
    reason: str = ""


class Chain:
    """Feeds hits to translators. *links* come first to last: the first that takes a piece gets its hits.

    *stop* is the translator that joins in at a stop of the chart, with whatever is struck first (None = no stops).
    """

    def __init__(
        self,
        links: Sequence[Link],
        placing: Placing,
        levels: Levels,
        timeline: Timeline,
        seed: int = 0,
        stop: Link | None = None,
    ) -> None:
        self.placing = placing
        self.levels = levels
        self.timeline = timeline
        self.faults: list[PluginFault] = []
        self._takers: dict[Piece, Link] = {}
        for link in reversed(links):
            self._takers.update(dict.fromkeys(link.pieces, link))
        self._bypassed: set[str] = set()
        self._ears: dict[Family, _Ear] = {}
        self._recent: deque[tuple[int, Family]] = deque(maxlen=16)
        self._held: dict[Hand, tuple[int, tuple[int, ...]]] = {Hand.LEFT: (0, ()), Hand.RIGHT: (0, ())}
        self._seed = seed
        self._stop, self._stopped_tick = stop, -(2**40)

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
        gesture: GestureKind = GestureKind.SINGLE,
        graces: Sequence[tuple[int, Hit]] = (),
    ) -> Taken:
        """Return what the translators ask for *hit*, the groove's hit number *index*; hits come in order of time.

        *hit* is the main stroke of a *gesture*, and *graces* its other strokes with their numbers.
        """
        placed, moment = self._moment(hit)
        if graces:
            others = tuple([(other.tick - hit.tick, other.velocity) for _, other in graces])
            moment = replace(moment, gesture=gesture, graces=others)
        stop = self._stop if placed.is_stop else None
        since = placed.ticks_since_change or 0
        if stop and since > moment.ticks(3 * TOGETHER_SEC):
            return Taken(reason="the chart stops here: both hands are silent until its next chord")
        taken = self._answer(self._takers.get(hit.piece), index, hit, moment)
        if graces and taken.asked:
            taken = Taken(_shared(taken.asked, graces))
        if stop and hit.tick - since != self._stopped_tick:
            # The first stroke of a stop brings the chord of both hands; what falls with it joins in.
            self._stopped_tick = hit.tick - since
            struck = self._answer(stop, index, hit, moment)
            taken = Taken((*taken.asked, *struck.asked)) if struck.asked else taken
        for item in taken.asked:
            strike = item.strike
            if strike.grace:
                continue
            self._held[strike.hand] = (item.tick + strike.hold_ticks, strike.pitches)
        return taken

    def _answer(self, link: Link | None, index: int, hit: Hit, moment: Moment) -> Taken:
        """Return what *link*'s translator asks for *hit*, or why nothing."""
        if link is None:
            return Taken(reason="no translator takes it in this pattern")
        if link.name in self._bypassed:
            return Taken(reason=f"the translator {link.name!r} failed and is bypassed")
        try:
            answer = link.translator.strikes(hit, moment)
            if isinstance(answer, LeaveOut):
                return Taken(reason=answer.reason)
            asked = tuple(
                Asked(hit.tick + strike.delay_ticks, strike, (index,))
                for strike in self._handed(link, answer)
            )
        except Exception as error:  # a plugin may fail in any way; the music goes on without it
            self.bypass(link.name)
            self.faults.append(PluginFault(link.name, f"{type(error).__name__}: {error}"))
            return Taken(reason=f"the translator {link.name!r} failed and is bypassed")
        return Taken(asked) if asked else Taken(reason=f"{link.name} gives it nothing")

    @staticmethod
    def _handed(link: Link, strikes: Iterable[Strike]) -> Iterable[Strike]:
        if link.hand is None:
            return strikes
        return [s if s.hand is link.hand else replace(s, hand=link.hand, fingers=()) for s in strikes]

    def _stroke(self, hit: Hit, offset_ticks: int, beat_ticks: int, slack_ticks: int) -> Stroke:
        """Return how the hit was struck; where a hat's velocities are all alike, beats are its accents."""
        stroke = self.levels.stroke(hit)
        if hit.piece.family in _METRIC and self.levels.is_flat(hit.piece):
            late = offset_ticks % beat_ticks
            on_beat = late <= slack_ticks or beat_ticks - late <= slack_ticks
            return Stroke.ACCENT if on_beat else Stroke.NORMAL
        return stroke

    def _moment(self, hit: Hit) -> tuple[ChordHere, Moment]:
        tick, family = hit.tick, hit.piece.family
        tempo_bpm = self.timeline.tempo_at(tick)
        ticks_per_sec = tempo_bpm * 16
        near = round(TOGETHER_SEC * ticks_per_sec)
        # A hit a hair before the bar line belongs to the bar it leads into, and to its chord.
        bar = self.timeline.bar_at(tick + near)
        metre = bar.metre
        offset = tick - bar.start_tick
        placed = self.placing.at(tick + near)
        ear = self._ears.get(family)
        if ear is None:
            ear = self._ears[family] = _Ear()
        recent = self._recent
        recent.append((tick, family))
        together = frozenset(name for when, name in recent if tick - when <= near)
        left_end, left = self._held[Hand.LEFT]
        right_end, right = self._held[Hand.RIGHT]
        change, since = placed.ticks_to_change, placed.ticks_since_change
        moment = Moment(
            tick,
            bar.number,
            offset,
            metre,
            tempo_bpm,
            placed.chord,
            placed.voicing,
            placed.low,
            self._stroke(hit, offset, metre.beat_ticks, near),
            placed.next_chord,
            placed.next_voicing,
            placed.next_low,
            None if change is None else change + near,
            placed.bass,
            together,
            tick - ear.ticks[-1] if ear.ticks else None,
            ear.rate(tick, ticks_per_sec),
            left if left_end > tick else (),
            right if right_end > tick else (),
            self._seed,
            None if since is None else since - near,
        )
        ear.ticks.append(tick)
        return placed, moment


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
