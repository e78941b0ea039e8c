"""Small parts to record: notes in quarter notes and beats, so that a test reads like a bar of music."""

from __future__ import annotations

from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.harmony.chart import ChordSpan, Harmony
from handgroove.harmony.chord import Chord, Key, Name
from handgroove.part import Note, Part, PedalMove
from handgroove.strike import Hand, Role
from handgroove.timeline import Metre, Timeline

C = Chord("C", Name("C"), Name("C"), (0, 4, 7))


def note(beat: float, length: float, pitch: int, velocity: int = 90) -> Note:
    """Make a note at *beat* (0 = the start) that lasts *length* quarter notes."""
    hand = Hand.LEFT if pitch < 57 else Hand.RIGHT
    return Note(round(beat * 960), round(length * 960), pitch, velocity, hand, Role.COMPING)


def hit(beat: float, piece: Piece, velocity: int = 100) -> Hit:
    """Make a hit at *beat* (0 = the start)."""
    return Hit(round(beat * 960), piece, velocity)


def make_part(
    *notes: Note,
    bars: int = 2,
    tempo_bpm: float = 120,
    pedal: tuple[tuple[float, bool], ...] = (),
    hits: tuple[Hit, ...] = (),
    timeline: Timeline | None = None,
) -> Part:
    """Make a part of *notes* in 4/4; *pedal* is (beat, down) moves."""
    timeline = timeline or Timeline.of(Metre(4, 4), tempo_bpm, bars)
    return Part(
        title="a test",
        notes=tuple(sorted(notes, key=lambda n: n.order)),
        omissions=(),
        timeline=timeline,
        harmony=Harmony((ChordSpan(0, timeline.end_tick, C),), Key(Name("C"))),
        groove=Groove(hits, timeline),
        pedal=tuple(PedalMove(round(beat * 960), down) for beat, down in pedal),
    )
