"""A stretch of bars in which the drums play alone, and how the right hand is asked to play there with the drummer."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from handgroove.figures.context import Surroundings
from handgroove.figures.figure_settings import FigureSettings
from handgroove.figures.hook_rhythm import felt_beat_ticks
from handgroove.groove.kit import Family
from handgroove.groove.know.barlines import BarHits
from handgroove.groove.know.knowledge import Knowledge
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Bar
from handgroove.translators.loudness import right_velocity

KEEPS_TIME = frozenset({Family.HAT, Family.RIDE, Family.HAND})


@dataclass(frozen=True, slots=True)
class Bars:
    """A stretch of bars by index among the knowledge's bars: *first* to *last*, both included."""

    first: int
    last: int

    @property
    def count(self) -> int:
        """Return how many bars it is."""
        return self.last - self.first + 1


@dataclass(frozen=True)
class Alone:
    """The *bars* of a *song*, of whose groove all is *known*, in which the drums play alone."""

    song: Surroundings
    known: Knowledge
    bars: Bars
    settings: FigureSettings

    @cached_property
    def parts(self) -> tuple[BarHits, ...]:
        """Return the bars with their hits, but for silence before the music, which is not counted."""
        inside = self.known.bars[self.bars.first : self.bars.last + 1]
        return tuple(part for part in inside if part.bar.number >= 0)

    @property
    def end_tick(self) -> int:
        """Return the written tick at which the song goes on."""
        return self.parts[-1].bar.end_tick

    @cached_property
    def usual(self) -> tuple[BarHits, ...]:
        """Return the bars that show the groove: of its backbone's idea, if some lie here, else all that are struck."""
        backbone = self.known.backbone
        first = self.bars.last + 1 - len(self.parts)
        letters = backbone.letters[first : self.bars.last + 1]
        wanted = backbone.letters[backbone.loop[0]] if backbone.loop else ""
        letter = wanted if wanted in letters else next((letter for letter in letters if letter), "")
        struck = [part for part, own in zip(self.parts, letters, strict=True) if part.hits and own == letter]
        length = struck[0].bar.length_ticks if struck else 0
        return tuple(part for part in struck if part.bar.length_ticks == length)

    @property
    def bar(self) -> Bar:
        """Return the first of the usual bars."""
        return self.usual[0].bar

    @property
    def whole_bars(self) -> int:
        """Return how many bars there are from the first on in which the drummer plays throughout."""
        return len(self.parts) - self.comes_in

    @property
    def beat_sec(self) -> float:
        """Return how long a beat of that bar lasts."""
        start = self.bar.start_tick
        return self.song.sec(start, start + felt_beat_ticks(self.bar.metre))

    @cached_property
    def comes_in(self) -> bool:
        """Return whether the first bar is a pickup, or the drummer comes in only in its second half."""
        first = self.parts[0]
        late = bool(first.places) and 2 * (first.places[0] - first.bar.start_tick) >= first.bar.length_ticks
        return first.bar.number == 0 or late

    @property
    def leads_into_fill(self) -> bool:
        """Return whether a fill begins where the stretch ends."""
        after = self.known.bars[self.bars.last + 1 : self.bars.last + 2]
        return any(part.bar.number in self.known.fill_bars for part in after)

    @property
    def time_hits(self) -> tuple[int, ...]:
        """Return the hits that keep time: the right hand has other things to do, so it leaves them out."""
        return tuple(
            part.first + number
            for part in self.parts
            for number, hit in enumerate(part.hits)
            if hit.piece.family in KEEPS_TIME
        )

    def voicing_at(self, tick: int) -> tuple[int, ...]:
        """Return the right hand's chord at the written *tick*."""
        if self.song.voicings:
            return self.song.voicings[self.song.harmony.index_at(tick)]
        chord = self.song.chord_at(tick)
        return tuple(p for p in range(57, 69) if p % 12 in chord.tone_pcs)[:3]

    def ask(
        self,
        place: int,
        pitches: tuple[int, ...],
        role: Role,
        hold_ticks: int,
        usual: float,
        weight: float = 1.0,
    ) -> Asked:
        """Ask for *pitches* at the written tick *place*, with the drummer's own stroke there and as loud as the drums.

        Where nothing is struck, *usual* is the velocity of a drum there.
        """
        groove, graces = self.song.groove, self.song.reading.graces
        here = [index for index in self.song.hits_at(place) if index not in graces]
        main = max(
            here,
            key=lambda i: (groove.hits[i].piece.family not in KEEPS_TIME, groove.hits[i].velocity, -i),
            default=None,
        )
        tick = self.song.reading.played_at(place) if main is None else groove.hits[main].tick
        loud = max((groove.hits[index].velocity for index in here), default=usual)
        strike = Strike(
            pitches, right_velocity(round(loud)), Hand.RIGHT, role, hold_ticks, until_next=True, weight=weight
        )
        return Asked(tick, strike, () if main is None else (main,), place)
