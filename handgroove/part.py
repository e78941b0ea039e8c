"""The piano part: notes, pedal and omissions, with the metre, tempo, chords and groove around them."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from handgroove.frozen import quick
from handgroove.groove.hits import Groove, Marker
from handgroove.harmony.chart import Harmony
from handgroove.strike import LEFT, Hand, Role
from handgroove.timeline import Timeline


@quick
@dataclass(frozen=True, slots=True)
class Note:
    """A strike that was settled: one key pressed at *tick* for *length_ticks*.

    *finger* is 1 (thumb) to 5, or 0 while none is chosen. *hits* are indices into the groove's hits that the note
    stands for (empty for a note of the harmony or melody alone). *grace* marks a flam's or drag's little note.
    *place* is the written tick that it belongs to (None = not known, so *tick* counts).
    """

    tick: int
    length_ticks: int
    pitch: int
    velocity: int
    hand: Hand
    role: Role
    finger: int = 0
    hits: tuple[int, ...] = ()
    weight: float = 1.0
    grace: bool = False
    place: int | None = None

    @property
    def meant(self) -> int:
        """Return the written tick that the note belongs to."""
        return self.tick if self.place is None else self.place

    @property
    def end_tick(self) -> int:
        """Return the tick at which the key is let go."""
        return self.tick + self.length_ticks

    @property
    def order(self) -> tuple[int, int, int]:
        """Return the key that sorts notes: by time, then pitch, then hand."""
        return (self.tick, self.pitch, 0 if self.hand is LEFT else 1)


class Change(StrEnum):
    """What was done to a hit or strike that could not be played as asked."""

    LEFT_OUT = "left out"
    THINNED = "thinned"
    MOVED = "moved"
    SHORTENED = "shortened"
    ROLLED = "rolled"
    HANDED_OVER = "handed over"
    REFINGERED = "refingered"
    REFUSED = "refused"


@quick
@dataclass(frozen=True, slots=True)
class Omission:
    """A hit or strike that was dropped, thinned or moved: where (*tick*, as written), what, and the *reason* in words.

    *subject* names the thing ("kick", "snare ghost", "the seventh"). *hits* are indices into the groove's hits.
    """

    tick: int
    change: Change
    subject: str
    reason: str
    hand: Hand | None = None
    hits: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class PedalMove:
    """The sustain pedal goes down or up at *tick* (CC 64: 127 or 0), where the page has *place* (None = *tick*)."""

    tick: int
    down: bool
    place: int | None = None

    @property
    def meant(self) -> int:
        """Return the written tick that the move belongs to."""
        return self.tick if self.place is None else self.place


@dataclass(frozen=True)
class Part:
    """A two-hand piano part and all that is needed to write it, play it and explain it.

    *notes* are in order. *omissions* are in order of time. *groove* holds the hits that notes and omissions point
    at, and *places* their meant places, hit by hit (empty = not known). *harmony*'s ticks are written ones.
    *messages* are things the player should know that belong to no bar.
    """

    title: str
    notes: tuple[Note, ...]
    omissions: tuple[Omission, ...]
    timeline: Timeline
    harmony: Harmony
    groove: Groove
    pedal: tuple[PedalMove, ...] = ()
    sections: tuple[Marker, ...] = ()
    messages: tuple[str, ...] = ()
    pattern_name: str = ""
    player_name: str = ""
    figures: tuple[str, ...] = field(default=())
    places: tuple[int, ...] = ()

    def hand(self, hand: Hand) -> tuple[Note, ...]:
        """Return the notes of one *hand*, in order."""
        return tuple(note for note in self.notes if note.hand is hand)
