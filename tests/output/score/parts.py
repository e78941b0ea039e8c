"""Parts made by hand that the score's tests write and read back."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from handgroove.groove.hits import Feel, Groove, Hit, Marker
from handgroove.groove.kit import Family, Piece
from handgroove.harmony.chart import ChordSpan, Harmony
from handgroove.harmony.chord import Chord, Key, Name
from handgroove.part import Change, Note, Omission, Part, PedalMove
from handgroove.strike import Hand, Role
from handgroove.timeline import Metre, Timeline

L, R = Hand.LEFT, Hand.RIGHT
AM7 = Chord("Am7", Name("A"), Name("A"), (0, 3, 7, 10))
FMAJ7 = Chord("Fmaj7", Name("F"), Name("F"), (0, 4, 7, 11))
D7 = Chord("D7", Name("D"), Name("D"), (0, 4, 7, 10))
G_B = Chord("G/B", Name("G"), Name("B"), (0, 4, 7))
STRAIGHT = Feel()
A_MINOR = Key(Name("A"), True)


def make_part(
    title: str,
    notes: list[Note],
    timeline: Timeline,
    chords: list[tuple[int, Chord | None]],
    key: Key = A_MINOR,
    feel: Feel = STRAIGHT,
    sections: tuple[Marker, ...] = (),
    pedal: tuple[PedalMove, ...] = (),
) -> Part:
    """Return a part of *notes* with *chords* as (start tick, chord)."""
    ends = [tick for tick, _ in chords[1:]] + [timeline.end_tick]
    spans = tuple(ChordSpan(start, end, chord) for (start, chord), end in zip(chords, ends, strict=True))
    ordered = tuple(sorted(notes, key=lambda n: n.order))
    groove = Groove((), timeline, feel=feel)
    return Part(title, ordered, (), timeline, Harmony(spans, key, sections), groove, pedal, sections)


def straight_eighths(bars: int = 8) -> Part:
    """Return straight eighths in the right hand over octaves in the left, Am7 and Fmaj7 in turn."""
    notes: list[Note] = []
    voicings = ((60, 64, 67), (60, 64, 69))
    roots = (33, 29)
    for bar in range(bars):
        start, low, chord = bar * 3840, roots[bar % 2], voicings[bar % 2]
        following = roots[(bar + 1) % 2]
        left = [(0, low, 5, 960), (960, low + 12, 1, 400), (1440, low, 5, 480), (1920, low, 5, 960)]
        left += [(2880, low + 12, 1, 400), (3360, following, 5, 480)]
        for at, pitch, finger, length in left:
            role = Role.KICK if finger == 5 else Role.SNARE
            notes.append(Note(start + at, length, pitch, 78 if finger == 5 else 84, L, role, finger))
        for eighth in range(8):
            at = start + eighth * 480
            pitches = chord if eighth in (0, 2, 4, 6) else chord[:1]
            loud = {0: 84, 2: 92, 4: 84, 6: 92}.get(eighth, 58)
            for pitch, finger in zip(pitches, (1, 2, 5), strict=False):
                notes.append(Note(at, 440, pitch, loud, R, Role.COMPING, finger))
    timeline = Timeline.of(Metre(4, 4), 112, bars)
    chords: list[tuple[int, Chord | None]] = [
        (max(0, bar * 3840 - 480), (AM7, FMAJ7)[bar % 2]) for bar in range(bars)
    ]
    return make_part(
        "Straight Eighths", notes, timeline, chords, sections=(Marker(0, "A"), Marker(15360, "B"))
    )


def swing(ratio: float = 1.9, scatter_ticks: int = 22, *, told: bool = True, bars: int = 8) -> Part:
    """Return a swung walking figure played with a human scatter; *told* says whether the groove knows its feel."""
    random = Random(7)
    late = round(960 * ratio / (1 + ratio))
    notes: list[Note] = []

    def put(beat_tick: int, length: int, pitch: int, velocity: int, hand: Hand, finger: int) -> None:
        tick = max(0, beat_tick + round(random.gauss(0, scatter_ticks)))
        notes.append(Note(tick, length, pitch, velocity, hand, Role.COMPING, finger))

    for bar in range(bars):
        start = bar * 3840
        put(start, 1800, 43, 70, L, 5)
        put(start + 1920, 1800, 50, 66, L, 1)
        put(start + 960 + late, 260, 59, 58, R, 1)
        for pitch, finger in ((59, 1), (65, 3), (69, 5)):
            put(start + 960, 420, pitch, 76, R, finger)
            put(start + 2880, 300, pitch, 78, R, finger)
        put(start + 2880 + late, 250, 57, 52, R, 1)
        if bar % 4 == 3:
            for index, pitch in enumerate((71, 69, 67)):
                put(start + 1920 + index * 320, 280, pitch, 70, R, 5 - index)
    timeline = Timeline.of(Metre(4, 4), 132, bars)
    feel = Feel(ratio, 480) if told else Feel()
    g7 = Chord("G7", Name("G"), Name("G"), (0, 4, 7, 10))
    return make_part("Swing", notes, timeline, [(0, g7)], Key(Name("C")), feel)


def seven_eight(bars: int = 4) -> Part:
    """Return a 7/8 figure (2+2+3) in D major with an F sharp in its chords."""
    notes: list[Note] = []
    for bar in range(bars):
        start = bar * 3360
        for at, pitch, length in ((0, 38, 960), (960, 50, 300), (1920, 38, 960), (2880, 50, 400)):
            notes.append(Note(start + at, length, pitch, 80, L, Role.KICK, 5 if pitch == 38 else 1))
        for eighth in range(7):
            for pitch in (66, 69, 74) if eighth in (0, 2, 4) else (66,):
                loud = 100 if eighth in (0, 4) else 76
                notes.append(Note(start + eighth * 480, 430, pitch, loud, R, Role.COMPING))
    d = Chord("D", Name("D"), Name("D"), (0, 4, 7))
    return make_part("Seven", notes, Timeline.of(Metre(7, 8), 140, bars), [(0, d)], Key(Name("D")))


def tune_with_pickup() -> Part:
    """Return a melody with an upbeat over comping, in two voices, with pedal and accidentals."""
    pickup = 960
    timeline = Timeline(Timeline().metres, Timeline.of(Metre(4, 4), 92, 1).tempos, pickup + 4 * 3840, pickup)
    notes = [Note(0, 460, 67, 84, R, Role.MELODY, 3), Note(480, 460, 69, 84, R, Role.MELODY, 4)]
    tune = [
        (0, 71, 1900),
        (1920, 74, 1440),
        (3360, 73, 480),
        (3840, 74, 2880),
        (6720, 66, 460),
        (7200, 67, 460),
    ]
    tune += [(7680, 69, 3800), (11520, 67, 3800)]
    for at, pitch, length in tune:
        notes.append(Note(pickup + at, length, pitch, 90, R, Role.MELODY, 5))
    for bar, pitches in enumerate(((59, 62), (57, 60), (57, 62), (59, 62))):
        for at in (480, 1440, 2400, 3360):
            for pitch, finger in zip(pitches, (1, 2), strict=True):
                notes.append(Note(pickup + bar * 3840 + at, 430, pitch, 58, R, Role.COMPING, finger))
        for at, pitch in ((0, 43), (1920, 50)):
            notes.append(Note(pickup + bar * 3840 + at, 1900, pitch, 70, L, Role.BASS, 5 if at == 0 else 1))
    pedal = []
    for bar in range(4):
        pedal += [PedalMove(pickup + bar * 3840 + 60, True), PedalMove(pickup + (bar + 1) * 3840 - 40, False)]
    chords: list[tuple[int, Chord | None]] = [(0, None), (960, G_B), (4800, D7), (12480, G_B)]
    sections = (Marker(pickup, "Verse"),)
    return make_part(
        "Tune with Upbeat", notes, timeline, chords, Key(Name("G")), sections=sections, pedal=tuple(pedal)
    )


def with_groove() -> Part:
    """Return straight eighths with the drums that they stand for, and one open hat and two ghosts left out."""
    part = straight_eighths(8)
    steps = [(Piece.CLOSED_HAT, range(8)), (Piece.SNARE, (2, 6)), (Piece.KICK, (0, 3, 4, 7))]
    hits = []
    for bar in range(8):
        for piece, eighths in steps:
            hits += [Hit(bar * 3840 + e * 480, piece, 90) for e in eighths]
        hits += [Hit(bar * 3840 + 1200, Piece.SNARE, 30), Hit(bar * 3840 + 2640, Piece.SNARE, 28)]
    hits += [Hit(7 * 3840 + 2880 + n * 240, p, 100) for n, p in enumerate((Piece.HIGH_TOM, Piece.FLOOR_TOM))]
    hits.append(Hit(0, Piece.CRASH, 110))
    hits.sort(key=lambda hit: hit.order)
    groove = Groove(tuple(hits), part.timeline)
    ghosts = tuple(i for i, hit in enumerate(hits) if hit.velocity < 40)
    omission = Omission(
        1200, Change.LEFT_OUT, "snare ghosts", "the pattern leaves ghosts out", Hand.LEFT, ghosts
    )
    family = {Role.KICK: Family.KICK, Role.SNARE: Family.SNARE, Role.COMPING: Family.HAT}
    notes = []
    for note in part.notes:
        own = [i for i, h in enumerate(hits) if h.tick == note.tick and h.piece.family is family[note.role]]
        notes.append(replace(note, hits=tuple(own)))
    return replace(part, notes=tuple(notes), groove=groove, omissions=(omission,))


ALL = (straight_eighths, swing, seven_eight, tune_with_pickup, with_groove)
