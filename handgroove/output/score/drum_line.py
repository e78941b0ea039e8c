"""The drum line: the groove in small percussion notation above the piano, with a legend.

Places and noteheads follow the usual drum set key (Norman Weinberg, *Guide to Standardized Drumset Notation*, 1998,
from memory): feet with stems down, hands with stems up, cymbals as crosses. Hand percussion goes by height, in
triangles (common practice, no source).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from handgroove.groove.hits import Feel, Hit
from handgroove.groove.kit import FAMILY_ORDER, Family, Piece
from handgroove.groove.meant.quantise import quantise
from handgroove.harmony.chord import Name
from handgroove.output.score.durations import make_events
from handgroove.output.score.rhythm import attach_heads, beam, fill_bars
from handgroove.output.score.sheet_model import DrumLine, Event, Head, Written
from handgroove.part import Change, Note, Part
from handgroove.strike import Hand, Role
from handgroove.timeline import Bar, Timeline


@dataclass(frozen=True, slots=True)
class StaffPlace:
    """Where a piece stands in the percussion staff (as in the treble clef), and its MusicXML *notehead*."""

    letter: str
    octave: int
    notehead: str = "normal"


PLACES: dict[Piece, StaffPlace] = {
    Piece.KICK: StaffPlace("F", 4),
    Piece.SNARE: StaffPlace("C", 5),
    Piece.SIDE_STICK: StaffPlace("C", 5, "x"),
    Piece.CLAP: StaffPlace("C", 5, "triangle"),
    Piece.CLOSED_HAT: StaffPlace("G", 5, "x"),
    Piece.OPEN_HAT: StaffPlace("G", 5, "circle-x"),
    Piece.PEDAL_HAT: StaffPlace("D", 4, "x"),
    Piece.RIDE: StaffPlace("F", 5, "x"),
    Piece.RIDE_BELL: StaffPlace("F", 5, "diamond"),
    Piece.CRASH: StaffPlace("A", 5, "x"),
    Piece.SPLASH: StaffPlace("B", 5, "x"),
    Piece.CHINA: StaffPlace("B", 5, "circle-x"),
    Piece.LOW_FLOOR_TOM: StaffPlace("G", 4),
    Piece.FLOOR_TOM: StaffPlace("A", 4),
    Piece.LOW_TOM: StaffPlace("B", 4),
    Piece.MIDDLE_TOM: StaffPlace("D", 5),
    Piece.HIGH_TOM: StaffPlace("E", 5),
    Piece.HIGHEST_TOM: StaffPlace("F", 5),
}
_BY_HEIGHT = (
    (40, StaffPlace("A", 4, "triangle")),
    (60, StaffPlace("C", 5, "triangle")),
    (101, StaffPlace("E", 5, "triangle")),
)
SEPARATOR = "   ·   "
_FEET = (Piece.KICK, Piece.PEDAL_HAT)


def place_of(piece: Piece) -> StaffPlace:
    """Return where *piece* stands in the staff."""
    return PLACES.get(piece) or next(place for most, place in _BY_HEIGHT if piece.height < most)


def left_out_hits(part: Part) -> frozenset[int]:
    """Return the indices of the hits that no note of the part stands for."""
    played = {index for note in part.notes for index in note.hits}
    dropped = {i for o in part.omissions if o.change in (Change.LEFT_OUT, Change.THINNED) for i in o.hits}
    return frozenset(dropped - played)


def make_drum_line(
    part: Part, feel: Feel, timeline: Timeline, bars: Sequence[Bar], *, whole: bool, left_out: bool
) -> DrumLine:
    """Return the drum line: the *whole* groove, or only what is *left_out*; then that is in brackets."""
    dropped = left_out_hits(part) if left_out else frozenset()
    struck = part.groove.hits
    masks = [1 << FAMILY_ORDER[hit.piece.family] for hit in struck]
    places = part.places or quantise([hit.tick for hit in struck], masks, timeline, feel)
    written = {i: place for i, place in enumerate(places) if place < timeline.end_tick}
    hits = {i: struck[i] for i in written if whole or i in dropped}
    voices = []
    for feet in (False, True):
        own = {i: hit for i, hit in hits.items() if (hit.piece in _FEET) == feet}
        placed = _place(own, written)
        heads = {p.index: _head(p, own[p.index], p.index in dropped) for p in placed}
        events = _joined(make_events(placed, timeline, bars[-1].end_tick))
        filled = fill_bars(events, bars, rests=not feet)
        for symbols, bar in zip(filled, bars, strict=True):
            attach_heads(symbols, heads)
            beam(symbols, bar)
            for symbol in symbols:
                symbol.stem = "" if not symbol.heads else "down" if feet else "up"
        voices.append(filled)
    lines = tuple(
        {n: v for n, v in ((1, up), (2, down)) if n == 1 or any(s.heads for s in v)}
        for up, down in zip(*voices, strict=True)
    )
    legend = format_legend(part, {hit.piece for hit in hits.values()}) if whole else ""
    brackets = ["in brackets: what the hands leave out"] if dropped else []
    return DrumLine(lines, SEPARATOR.join([*([legend] if legend else []), *brackets]))


def _place(hits: Mapping[int, Hit], written: Mapping[int, int]) -> list[Written]:
    """Return hits as notes at their written places, each sounding until the next of its voice, a beat at most."""
    ticks = sorted({written[index] for index in hits})
    following = dict(pairwise(ticks))
    placed, seen = [], set()
    for index, hit in hits.items():
        tick = written[index]
        if (tick, hit.piece) in seen:
            continue  # a flam or drag is one stroke here
        seen.add((tick, hit.piece))
        length = max(120, min(following.get(tick, tick + 960) - tick, 960 - tick % 960))
        note = Note(hit.tick, length, hit.piece.height, hit.velocity, Hand.RIGHT, Role.COLOUR)
        placed.append(Written(index, note, tick, length))
    return placed


def _joined(events: Sequence[Event]) -> list[Event]:
    """Return the events without articulations: a drum has no length."""
    return [Event(e.tick, e.end_tick, e.notes, (), ()) for e in events]


def _head(placed: Written, hit: Hit, bracketed: bool) -> Head:
    place = place_of(hit.piece)
    return Head(placed, Name(place.letter), place.octave, notehead=place.notehead, bracketed=bracketed)


def format_legend(part: Part, pieces: set[Piece]) -> str:
    """Return in words what each drum of the line becomes at the piano, most frequent first."""
    families = Counter(hit.piece.family for hit in part.groove.hits if hit.piece in pieces)
    words = []
    for family, _ in families.most_common():
        answer = _answer(part, family)
        words.append(f"{family} = {answer}" if answer else f"{family}: left out")
    return SEPARATOR.join(words)


def _answer(part: Part, family: Family) -> str:
    """Return what mostly plays a *family*'s hits: ``left hand 5``, say."""
    hands: Counter[tuple[Hand, int, bool]] = Counter()
    main = [note for note in part.notes if not note.grace]
    sizes = Counter((note.tick, note.hand) for note in main)
    for note in main:
        if any(part.groove.hits[i].piece.family is family for i in note.hits if i < len(part.groove.hits)):
            chord = sizes[note.tick, note.hand] > 1
            hands[note.hand, 0 if chord else note.finger, chord] += 1
    if not hands:
        return ""
    (hand, finger, chord), _ = hands.most_common(1)[0]
    return f"{hand} hand{' chord' if chord else ''}{f' {finger}' if finger else ''}"
