"""What a translator knows and what it asks for: moments, strikes, and what it leaves out.

A moment holds only what can be known when a hit arrives, so that the same translators work on stage and on
whole files. Pitches are MIDI note numbers (middle C = 60 = C4), velocities 1 to 127, times in ticks.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from handgroove.frozen import quick
from handgroove.groove.hits import Stroke
from handgroove.groove.kit import Family
from handgroove.groove.meant.gestures import GestureKind
from handgroove.groove.suggest.cell_model import CellStroke
from handgroove.harmony.chord import Chord
from handgroove.timeline import Metre


class Hand(StrEnum):
    """Which hand plays."""

    LEFT = "left"
    RIGHT = "right"

    @property
    def other(self) -> Hand:
        """Return the other hand."""
        return RIGHT if self is LEFT else LEFT


LEFT, RIGHT = Hand  # by name: in Python 3.11 ten times as quick as through the class


class Role(StrEnum):
    """What a note stands for; a player's order of importance is an order of roles."""

    MELODY = "melody"
    KICK = "kick"
    SNARE = "snare"
    BASS = "bass"
    COMPING = "comping"
    COLOUR = "colour"


@quick
@dataclass(frozen=True, slots=True)
class Strike:
    """What a translator asks a hand to play.

    *delay_ticks* is counted from the hit (0 = with it; a figure's later notes are delayed). *pitches* are one to
    five, low to high. The notes last *hold_ticks*, or less: with *until_next* they end when the hand strikes
    again. *fingers* is empty, or names a finger (1 thumb to 5, 0 = any) for each pitch. *weight* is how much it
    matters beside others of its role (1.0 = as any; accents more, ghosts less). *grace* marks a flam's or
    drag's little note; it comes before the hit, so its delay is negative. *second* is the key that another finger takes
    where the stroke follows the last on its key too quickly for one finger, and *spare* one for where that is taken,
    for a hand that looks ahead (-1 = none).
    """

    pitches: tuple[int, ...]
    velocity: int
    hand: Hand
    role: Role
    hold_ticks: int
    until_next: bool = False
    fingers: tuple[int, ...] = ()
    weight: float = 1.0
    delay_ticks: int = 0
    grace: bool = False
    second: int = -1
    spare: int = -1


@dataclass(frozen=True, slots=True)
class LeaveOut:
    """A translator's answer when a hit gets no strike: *reason*, in a musician's words, goes into the report.

    *is_thinned* says that others of its kind stay: they come faster than a hand plays them.
    """

    reason: str
    is_thinned: bool = False


@quick
@dataclass(frozen=True, slots=True)
class Moment:
    """All that a translator may know when a hit arrives.

    *tick* is when the hit was played; *bar* and *offset_ticks* (from the bar's start) are its meant place, straight:
    swing and the drummer's lean are taken out. *chord* is None where no chord sounds (N.C.). What comes next
    is None (or empty) where it can't be known, as it may be live. *voicing* is the right hand's chord here and
    *low* the left hand's low note, both placed by the host so that they lead smoothly; *bass* is the pitch that a
    bass line sounds now, if there is one. *stroke* says how the hit was struck beside others of its piece.
    *together* are the families struck so far that are meant at this same place. *since_ticks* is the time since the
    last hit of the same family (None for the first), and *rate* how many of that family fall in a second just now.
    *ticks_since_change* is how long the chord has held (None where that is not known). *left* and *right* are the
    pitches each hand holds. *gesture* is the movement that the hit is the main stroke of, and *graces* its other
    strokes: how many ticks after the main one each comes (negative: before it), and its velocity. *importance* is how
    much the hit matters in its groove (1.0 = as a usual kick or snare): a strike's weight. *turn_low* is the low note
    that the chart begins again with, under its last chord. *loudness* is how hard the drummer plays just now: the
    running mean of all strokes that are no ghosts. *next_fixed*: the chart marks where the next chord comes (it is a
    push or a stop), and no kick brings it earlier. *last_chord* is the one before this, if it is known, *is_rooted*
    says that the left hand has struck this one's root or bass, and *cell* what the comping's cell asks at this place
    (None = no cell is known). *row* is the key that the right hand struck last, alone, and how often in a row (0, 0: a
    chord).
    """

    tick: int
    bar: int
    offset_ticks: int
    metre: Metre
    tempo_bpm: float
    chord: Chord | None
    voicing: tuple[int, ...]
    low: int
    stroke: Stroke
    next_chord: Chord | None = None
    next_voicing: tuple[int, ...] = ()
    next_low: int | None = None
    ticks_to_change: int | None = None
    bass: int | None = None
    together: frozenset[Family] = frozenset()
    since_ticks: int | None = None
    rate: float = 0.0
    left: tuple[int, ...] = ()
    right: tuple[int, ...] = ()
    seed: int = 0
    ticks_since_change: int | None = None
    gesture: GestureKind = GestureKind.SINGLE
    graces: tuple[tuple[int, int], ...] = ()
    importance: float = 1.0
    turn_low: int | None = None
    loudness: int = 80
    next_fixed: bool = False
    last_chord: Chord | None = None
    is_rooted: bool = True
    cell: CellStroke | None = None
    row: tuple[int, int] = (0, 0)

    @property
    def beat_offset_ticks(self) -> int:
        """Return the ticks since the last felt beat."""
        return self.offset_ticks % self.metre.beat_ticks

    def ticks(self, sec: float) -> int:
        """Return how many ticks *sec* seconds last at the moment's tempo."""
        return round(sec * self.tempo_bpm / 60 * 960)


@quick
@dataclass(frozen=True, slots=True)
class Asked:
    """A strike asked for at *tick* (the hit's tick, its delay added) by the groove's *hits* (indices; may be none).

    *place* is the written tick that it belongs to: the meant place of its hit (None = not known, so *tick* counts).
    *ends* says, pitch by pitch, at which tick it ends at the latest (empty = after the strike's own hold).
    """

    tick: int
    strike: Strike
    hits: tuple[int, ...] = ()
    place: int | None = None
    ends: tuple[int, ...] = ()

    @property
    def meant(self) -> int:
        """Return the written tick that the strike belongs to."""
        return self.tick if self.place is None else self.place
