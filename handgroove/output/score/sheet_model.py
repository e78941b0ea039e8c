"""What a written page is made of: notes at their written places, events, symbols, measures and the sheet.

Ticks are written ticks, 960 to the quarter note, counted from the start of the music; what was played keeps its
own ticks in the part. Staff 1 is the right hand, staff 2 the left; voices 1 and 2 belong to staff 1, voices 5
and 6 to staff 2, the odd one with its stems up where two share a staff.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from handgroove.groove.hits import Feel
from handgroove.harmony.chord import Chord, Key, Name
from handgroove.part import Note
from handgroove.timeline import Bar


class Mark(StrEnum):
    """An articulation, under its MusicXML name."""

    ACCENT = "accent"
    STACCATO = "staccato"
    TENUTO = "tenuto"


@dataclass(frozen=True, slots=True)
class Written:
    """A *note* at its written *tick*. *index* counts in the part's notes; *sounding_ticks* is how long it sounds
    in written time, which is not yet how long it is written."""

    index: int
    note: Note
    tick: int
    sounding_ticks: int

    @property
    def sounding_end(self) -> int:
        """Return the written tick at which it stops sounding."""
        return self.tick + self.sounding_ticks


@dataclass(frozen=True, slots=True)
class Event:
    """Notes of one voice that are written together, from *tick* to *end_tick*, with *graces* before them."""

    tick: int
    end_tick: int
    notes: tuple[Written, ...]
    marks: tuple[Mark, ...] = ()
    graces: tuple[Written, ...] = ()


@dataclass(frozen=True, slots=True)
class Tuplet:
    """From *tick* for *length_ticks*, *actual* notes of *unit* (a note type) stand in the time of *normal*."""

    tick: int
    length_ticks: int
    actual: int
    normal: int
    unit: str

    @property
    def end_tick(self) -> int:
        """Return the tick after the tuplet."""
        return self.tick + self.length_ticks


@dataclass(slots=True)
class Head:
    """One notehead: its note, how it is spelled, and what is printed beside it."""

    placed: Written
    name: Name
    octave: int
    accidental: str = ""
    courtesy: bool = False
    finger: int = 0
    notehead: str = ""
    bracketed: bool = False
    tied_from: bool = False
    tied_on: bool = False


@dataclass(slots=True)
class Symbol:
    """A note, chord or rest as it is drawn: no *heads* is a rest, *hidden* leaves the space empty."""

    tick: int
    length_ticks: int
    type: str
    dots: int = 0
    heads: list[Head] = field(default_factory=list)
    graces: list[Head] = field(default_factory=list)
    tuplet: Tuplet | None = None
    beams: tuple[str, ...] = ()
    stem: str = ""
    marks: tuple[Mark, ...] = ()
    event: Event | None = None
    whole_bar: bool = False
    hidden: bool = False

    @property
    def end_tick(self) -> int:
        """Return the tick after the symbol."""
        return self.tick + self.length_ticks


class Clef(StrEnum):
    """A clef that a piano staff may have."""

    TREBLE = "G2"
    BASS = "F4"


@dataclass(frozen=True, slots=True)
class ChordMark:
    """A chord symbol at *tick* (None = N.C.)."""

    tick: int
    chord: Chord | None


@dataclass(frozen=True, slots=True)
class Words:
    """Text at *tick*: *kind* is ``section``, ``dynamic``, ``pedal``, ``octave`` or ``italic``.

    It stands under or over *staff*, as its kind is used to.
    """

    tick: int
    kind: str
    text: str
    staff: int


@dataclass(slots=True)
class Measure:
    """One bar of the sheet: its voices by number, what stands around them, and how it is laid out."""

    bar: Bar
    voices: dict[int, list[Symbol]]
    chords: list[ChordMark] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)
    clefs: dict[int, Clef] = field(default_factory=dict)
    middles: dict[int, int] = field(default_factory=dict)
    new_system: bool = False
    repeats_last: bool = False
    shows_metre: bool = False


@dataclass(frozen=True)
class DrumLine:
    """The groove in small percussion notation: per bar its voices, and the *legend* that names its noteheads."""

    voices: tuple[dict[int, list[Symbol]], ...]
    legend: str


@dataclass(frozen=True)
class Sheet:
    """A whole score, ready to be written: *measures* in order, with the title, key, tempo and feel over them."""

    title: str
    key: Key
    measures: tuple[Measure, ...]
    tempos: tuple[tuple[int, float], ...]
    feel: Feel
    drums: DrumLine | None = None
    subtitle: str = ""
