"""What hands strike of their own: a chart's stops and pushes, and the low line that a pattern asks for.

They join in with what the drummer strikes there. Where the drummer strikes nothing, whoever knows the time asks for
them at their moment (`Chain.own`): the desk at the place as this drummer plays it, the stage by its running clock.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from handgroove.frozen import quick
from handgroove.groove.hits import Hit
from handgroove.groove.kit import Family, Piece
from handgroove.harmony.chord import Chord
from handgroove.host.links import Link, Own
from handgroove.strike import Asked, Hand, Moment, Role
from handgroove.timeline import Metre

STOP_WEIGHT = 500.0  # a stop is absolute: what leads to it gives way, whatever it is
PUSH_WEIGHT = 4.0
NEVER = -(2**40)
LOW_ROLES = (Role.KICK, Role.BASS)  # what a low note of the left hand stands for
SILENT = "the chart stops here: both hands are silent until its next chord"
HELD_OVER = "held over: the chart's push has brought this chord already"


@quick
@dataclass(frozen=True, slots=True)
class ChordHere:
    """What the harmony says at a written tick, placed for two hands: *chord*, *voicing* and *low* note.

    No *chord* is N.C.; what comes next is None or empty where it can't be known. *is_stop*: the chart has a stop here.
    *push_ticks* is how long before its written place the chart has this chord played (0 = it has no push). *turn_low*
    is the low note of the chord that the chart begins again with, where it is this last chord's to lead there.
    *next_fixed*: the chart marks where the next chord comes, as a push or a stop. *last_chord* came before this one.
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
    push_ticks: int = 0
    turn_low: int | None = None
    next_fixed: bool = False
    last_chord: Chord | None = None

    def pushed(self) -> ChordHere:
        """Return what holds where the kick has brought the next low note: the next chord, in common tones if any."""
        if self.next_low is None or self.next_chord is None:
            return self
        both = tuple(pitch for pitch in self.voicing if pitch % 12 in self.next_chord.pcs)
        voicing = both or self.next_voicing
        return ChordHere(self.next_chord, voicing, self.next_low, bass=self.bass)


@quick
@dataclass(frozen=True, slots=True)
class Taken:
    """What became of one hit: the strikes *asked*, or, where there are none, the *reason*.

    *is_thinned* says that only some strokes of its kind are left out, because they come too fast; *joins*, that the hit
    is in what was asked at its place already.
    """

    asked: tuple[Asked, ...] = ()
    reason: str = ""
    is_thinned: bool = False
    joins: bool = False


Ask = Callable[[Link, int, Hit, Moment, int], Taken]
"""Ask a link about a hit with its number (-1 = nobody's), its moment and its written tick."""


class OwnStrokes:
    """Joins the hands' own strokes to what was asked for a hit. *ask* puts a question to a link."""

    def __init__(self, own: Own, ask: Ask) -> None:
        self._own, self._ask = own, ask
        # The written ticks at which each was struck last; a low note may also have come with a kick.
        self._stopped = self._pushed = self._lined = self._low = NEVER

    def places(self, metre: Metre) -> frozenset[int]:
        """Return the offsets in a bar of *metre* at which the low line has a note."""
        return self._own.line_places(metre) if self._own.line else frozenset()

    def at_stop(self, index: int, hit: Hit, moment: Moment, place: int, since_ticks: int) -> Taken:
        """Return what becomes of *hit* in a stop that began *since_ticks* before: its first stroke strikes it."""
        if since_ticks:
            return Taken(reason=SILENT)
        if self._stopped == place:
            return Taken(joins=True)
        self._stopped = place
        loud = replace(hit, velocity=max(hit.velocity, moment.loudness))
        moment = replace(moment, since_ticks=None)  # whole, however soon after what came before it
        return _weighing(self._ask(self._own.stop, index, loud, moment, place), STOP_WEIGHT)

    def joined(self, hit: Hit, place: int) -> bool:
        """Return whether *hit* is a kick that is in a low note of the hand's own, struck at *place* before it."""
        return hit.piece is Piece.KICK and self._lined == place

    def with_push(self, taken: Taken, hit: Hit, moment: Moment, place: int) -> Taken:
        """Return *taken* with the chord of both hands at a push of the chart, once; the hit's own chord is in it."""
        kept = tuple(item for item in taken.asked if not _is_comping(item))
        if self._pushed == place:
            return replace(taken, asked=kept, joins=not kept)
        self._pushed = place
        loud = replace(hit, velocity=moment.loudness)
        struck = _weighing(self._ask(self._own.push, -1, loud, moment, place), PUSH_WEIGHT).asked
        kicks = tuple(item for item in kept if item.strike.role is Role.KICK)
        if kicks:
            struck = tuple(item for item in struck if item.strike.hand is Hand.RIGHT)
            rest = tuple(item for item in kept if item.strike.role is not Role.KICK)
            kept = (*rest, *_weighing(Taken(kicks), PUSH_WEIGHT).asked)
        else:
            self._lined = place
        joins = len(kept) < len(taken.asked) and not kept
        return replace(taken, asked=(*kept, *struck), joins=joins)

    def held_over(self, taken: Taken, hit: Hit, pushed_place: int) -> Taken:
        """Return *taken* without a time-keeper's chord on the line over which the push at *pushed_place* is held."""
        if self._pushed != pushed_place or hit.piece.family not in (Family.HAT, Family.RIDE):
            return taken
        kept = tuple(item for item in taken.asked if not _is_comping(item))
        return taken if len(kept) == len(taken.asked) else Taken(kept, "" if kept else HELD_OVER)

    def with_line(self, taken: Taken, hit: Hit, moment: Moment, place: int) -> Taken:
        """Return *taken* with the low line's note, where its place has one and no low note was struck there yet.

        What leads into the first bar has none.
        """
        line = self._own.line
        if line is None or place in (self._low, self._lined) or moment.chord is None or moment.bar < 1:
            return taken
        if any(item.strike.hand is Hand.LEFT and item.strike.role in LOW_ROLES for item in taken.asked):
            self._low = place
            return taken
        starts = moment.ticks_since_change == 0 and moment.next_chord is not None
        if not starts and moment.offset_ticks not in self._own.line_places(moment.metre):
            return taken
        self._lined = place
        return replace(taken, asked=(*taken.asked, *self._ask(line, -1, hit, moment, place).asked))

    def alone(self, here: ChordHere, moment: Moment, place: int, *, with_line: bool) -> Taken:
        """Return what hands strike of their own at *place*, where no hit did; the line only *with_line*."""
        hit = Hit(moment.tick, Piece.RIDE, moment.loudness)
        if here.is_stop:
            is_struck = self._stopped == place or here.ticks_since_change
            return Taken() if is_struck else self.at_stop(-1, hit, moment, place, 0)
        taken = Taken()
        if here.push_ticks and here.ticks_since_change == 0 and self._pushed != place:
            taken = self.with_push(taken, hit, moment, place)
        return self.with_line(taken, hit, moment, place) if with_line else taken


def _weighing(taken: Taken, weight: float) -> Taken:
    """Return *taken*, its strokes of this *weight*; its low note matters as the drummer's kick would."""
    asked = []
    for item in taken.asked:
        role = Role.KICK if item.strike.role is Role.BASS else item.strike.role
        asked.append(replace(item, strike=replace(item.strike, weight=weight, role=role)))
    return replace(taken, asked=tuple(asked))


def _is_comping(item: Asked) -> bool:
    return item.strike.hand is Hand.RIGHT and item.strike.role is Role.COMPING
