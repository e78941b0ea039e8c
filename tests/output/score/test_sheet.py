"""What a sheet says: voices, lengths, spelling, marks, systems."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace

from handgroove import parse_chart, translate
from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.harmony.chord import Key, Name
from handgroove.output.score import Options, format_musicxml, make_sheet
from handgroove.output.score.sheet_model import Clef, Mark, Sheet, Symbol
from handgroove.part import Note, Part
from handgroove.strike import Hand, Role
from handgroove.timeline import Metre, Timeline
from tests.output.score.parts import (
    AM7,
    make_part,
    seven_eight,
    straight_eighths,
    swing,
    tune_with_pickup,
    with_groove,
)


def shape(symbols: list[Symbol]) -> list[str]:
    """Return a voice's symbols in short: ``quarter``, ``eighth r`` for rests, dots as ``.``, ``~`` for a tie on."""
    return [
        s.type + "." * s.dots + ("" if s.heads else " r") + ("~" if s.heads and s.heads[0].tied_on else "")
        for s in symbols
    ]


def bar(sheet: Sheet, number: int) -> dict[int, list[str]]:
    """Return the short shapes of the voices of bar *number*."""
    measure = next(m for m in sheet.measures if m.bar.number == number)
    return {voice: shape(symbols) for voice, symbols in measure.voices.items()}


def one_hand(notes: list[tuple[int, int, int]], key: str = "C", alter: int = 0, bars: int = 1) -> Part:
    """Return a part of right-hand (tick, length, pitch) in 4/4 at 100."""
    made = [Note(tick, length, pitch, 80, Hand.RIGHT, Role.COMPING, 1) for tick, length, pitch in notes]
    return make_part("", made, Timeline.of(Metre(4, 4), 100, bars), [(0, AM7)], Key(Name(key, alter)))


def test_worked_example_left_hand() -> None:
    """Low and high strokes in the left hand are one voice of quarters and eighths without a rest or a tie."""
    assert bar(make_sheet(straight_eighths()), 1)[5] == [
        "quarter",
        "eighth",
        "eighth",
        "quarter",
        "eighth",
        "eighth",
    ]


def test_worked_example_systems() -> None:
    """Eight bars in two sections are two systems of four."""
    sheet = make_sheet(straight_eighths())
    assert [m.bar.number for m in sheet.measures if m.new_system] == [5]


def test_seven_eight_beams_by_its_groups() -> None:
    """Seven eighths are beamed two, two and three."""
    symbols = make_sheet(seven_eight()).measures[0].voices[1]
    assert [s.beams[0] for s in symbols] == ["begin", "end", "begin", "end", "begin", "continue", "end"]


def test_straight_eighths_are_beamed_by_the_half_bar() -> None:
    """Eight eighths in 4/4 are beamed in fours, never across the middle."""
    symbols = make_sheet(straight_eighths()).measures[0].voices[1]
    assert [s.beams[0] for s in symbols] == ["begin", "continue", "continue", "end"] * 2


def test_swing_needs_no_rests_or_ties() -> None:
    """A swung figure with human scatter is written in quarters and eighths, a fill as a triplet."""
    sheet = make_sheet(swing())
    assert bar(sheet, 1)[1] == ["quarter r", "eighth", "eighth", "quarter r", "eighth", "eighth"]
    fill = sheet.measures[3].voices[1]
    assert [s.type for s in fill if s.tuplet] == ["eighth", "eighth", "eighth"]


def test_unannounced_swing_reads_the_same() -> None:
    """The same figure, with a groove that doesn't know its feel, is written the same."""
    told, untold = make_sheet(swing()), make_sheet(swing(told=False))
    assert [bar(told, n) for n in range(1, 9)] == [bar(untold, n) for n in range(1, 9)]


def test_melody_and_comping_are_two_voices() -> None:
    """A held tune over moving chords is the upper voice, the chords the lower; the upbeat needs one."""
    sheet = make_sheet(tune_with_pickup())
    assert bar(sheet, 1)[1] == ["half", "quarter.", "eighth"]
    assert len(bar(sheet, 1)[2]) == 6
    assert set(bar(sheet, 0)) == {1, 5}
    assert {s.stem for s in sheet.measures[1].voices[2] if s.heads} == {"down"}


def test_left_hand_is_one_voice_in_every_made_part() -> None:
    """No second voice is opened where nothing is held."""
    for part in (straight_eighths(), swing(), seven_eight()):
        assert all(set(m.voices) == {1, 5} for m in make_sheet(part).measures)


def test_a_stab_is_a_dot_not_a_row_of_rests() -> None:
    """Short chords on every beat are staccato quarters."""
    symbols = make_sheet(one_hand([(b * 960, 200, 60) for b in range(4)])).measures[0].voices[1]
    assert shape(symbols) == ["quarter"] * 4
    assert all(Mark.STACCATO in s.marks for s in symbols)


def test_a_legato_line_has_no_dots() -> None:
    """Notes that sound for nine tenths of their time are plain."""
    symbols = make_sheet(one_hand([(b * 960, 860, 60) for b in range(4)])).measures[0].voices[1]
    assert all(not s.marks for s in symbols)


def test_a_note_over_the_bar_line_is_tied() -> None:
    """An off-beat note held into the next bar is tied, and the next bar is full."""
    sheet = make_sheet(one_hand([(3360, 1400, 60)], bars=2))
    assert bar(sheet, 1)[1][-1] == "eighth~"
    assert bar(sheet, 2)[1] == ["quarter", "quarter r", "half r"]


def test_quarter_triplets_span_a_half_bar() -> None:
    """Three notes in two beats are one tuplet of quarters."""
    symbols = (
        make_sheet(one_hand([(0, 600, 60), (640, 600, 62), (1280, 600, 64), (1920, 1900, 65)]))
        .measures[0]
        .voices[1]
    )
    assert shape(symbols) == ["quarter"] * 3 + ["half"]
    assert symbols[0].tuplet is not None
    assert symbols[0].tuplet.unit == "quarter"


def test_the_same_key_twice_at_one_place_loses_no_note() -> None:
    """A key struck twice within a grid step becomes a grace note and its main note."""
    sheet = make_sheet(one_hand([(960, 30, 60), (1000, 900, 60)]))
    chord = next(s for s in sheet.measures[0].voices[1] if s.heads)
    assert [len(chord.graces), len(chord.heads)] == [1, 1]


def left(tick: int, length: int, pitch: int, role: Role, finger: int, grace: bool = False) -> Note:
    """Return a left-hand note."""
    return Note(tick, length, pitch, 70, Hand.LEFT, role, finger, grace=grace)


def test_a_flams_grace_is_slashed_and_a_drags_are_beamed() -> None:
    """One grace is a small eighth with a slash (acciaccatura), two and more are beamed sixteenths without."""
    notes = [left(907, 53, 43, Role.SNARE, 2, True), left(960, 400, 45, Role.SNARE, 1)]
    notes += [left(2773, 53, 40, Role.SNARE, 3, True), left(2826, 54, 43, Role.SNARE, 2, True)]
    notes.append(left(2880, 400, 45, Role.SNARE, 1))
    sheet = make_sheet(make_part("", notes, Timeline.of(Metre(4, 4), 112, 1), [(0, AM7)]))
    graced = [s for s in sheet.measures[0].voices[5] if s.graces]
    assert [(s.tick, [h.placed.note.pitch for h in s.graces]) for s in graced] == [
        (960, [43]),
        (2880, [40, 43]),
    ]
    signs = [re.findall(r"<grace[^>]*>|(?<=<type>)\w+|<beam[^/]*", note) for note in _grace_notes(sheet)]
    assert signs == [
        ['<grace slash="yes"/>', "eighth"],
        ["<grace/>", "16th", '<beam number="1">begin<', '<beam number="2">begin<'],
        ["<grace/>", "16th", '<beam number="1">end<', '<beam number="2">end<'],
    ]


def _grace_notes(sheet: Sheet) -> list[str]:
    return [note for note in re.findall(r"<note .*?</note>", format_musicxml(sheet)) if "<grace" in note]


def test_graces_stand_in_the_voice_of_their_main_note() -> None:
    """A flam on the thumb over a held low note is written with the thumb's voice."""
    notes = [left(0, 3800, 33, Role.BASS, 5), left(907, 53, 43, Role.SNARE, 2, True)]
    notes += [left(960, 400, 45, Role.SNARE, 1), left(1920, 400, 45, Role.SNARE, 1)]
    sheet = make_sheet(make_part("", notes, Timeline.of(Metre(4, 4), 112, 1), [(0, AM7)]))
    upper, lower = (sheet.measures[0].voices[number] for number in (5, 6))
    assert [h.placed.note.pitch for s in lower for h in s.heads] == [33]
    assert [[h.placed.note.pitch for h in s.graces] for s in upper if s.graces] == [[43]]


def test_spelling_by_the_key() -> None:
    """The same black key is F sharp in D major and G flat in D flat major."""
    for key, alter, expected in (("D", 0, "F#"), ("D", -1, "Gb"), ("E", -1, "Gb"), ("A", 0, "F#")):
        sheet = make_sheet(one_hand([(0, 900, 66)], key, alter))
        assert str(sheet.measures[0].voices[1][0].heads[0].name) == expected, key


def test_accidentals_hold_to_the_bar_line() -> None:
    """An accidental is printed once in a bar, is taken back in it, and the next bar is reminded."""
    notes = [(0, 900, 66), (960, 900, 66), (1920, 900, 65), (2880, 900, 66), (3840, 900, 65), (4800, 900, 65)]
    sheet = make_sheet(one_hand(notes, bars=2))
    heads = [s.heads[0] for m in sheet.measures for s in m.voices[1] if s.heads]
    assert [h.accidental for h in heads] == ["sharp", "", "natural", "sharp", "natural", ""]
    assert [h.courtesy for h in heads] == [False, False, False, False, True, False]


def test_low_passages_get_an_octave_line() -> None:
    """Bars that live below the fourth ledger line are written an octave up under a line; others are not."""
    low = [Note(b * 960, 900, 26 if b < 8 else 48, 80, Hand.LEFT, Role.KICK, 5) for b in range(16)]
    sheet = make_sheet(make_part("", low, Timeline.of(Metre(4, 4), 100, 4), [(0, AM7)]))
    lines = [(w.tick, w.text) for m in sheet.measures for w in m.words if w.kind == "octave"]
    assert lines == [(0, "up"), (7680, "stop")]


def test_a_low_right_hand_changes_clef() -> None:
    """A right hand that goes to live in the bass gets a bass clef there."""
    notes = [(b * 960, 900, 72 if b < 16 else 45) for b in range(32)]
    sheet = make_sheet(one_hand(notes, bars=8))
    assert [(m.bar.number, m.clefs[1]) for m in sheet.measures if 1 in m.clefs] == [
        (1, Clef.TREBLE),
        (5, Clef.BASS),
    ]


def test_fingerings_where_the_hand_changes() -> None:
    """With ``changes`` a repeated bar shows no finger again; with ``all`` every note does; with ``none`` none."""
    part = straight_eighths()

    def count(which: Options) -> int:
        sheet = make_sheet(part, which)
        return sum(
            bool(h.finger) for m in sheet.measures for v in m.voices.values() for s in v for h in s.heads
        )

    assert count(Options(fingerings="none")) == 0
    assert count(Options(fingerings="all")) == len(part.notes)
    assert 0 < count(Options()) < len(part.notes) / 5


def test_accents_stand_out() -> None:
    """The strongest quarter of the strokes is accented, and where all are as loud none is."""
    symbols = [s for m in make_sheet(straight_eighths()).measures[:2] for s in m.voices[1]]
    assert [i % 8 for i, s in enumerate(symbols) if Mark.ACCENT in s.marks] == [2, 6, 2, 6]
    even = replace(straight_eighths(), notes=tuple(replace(n, velocity=80) for n in straight_eighths().notes))
    assert not any(Mark.ACCENT in s.marks for m in make_sheet(even).measures for s in m.voices[1])


def test_repeated_bars_become_signs_on_request() -> None:
    """With simile a bar equal to the last is a sign, but never at the start of a system."""
    sheet = make_sheet(swing(scatter_ticks=0), Options(simile=True))
    assert [m.bar.number for m in sheet.measures if m.repeats_last] == [2, 3, 6, 7]
    assert not any(m.repeats_last for m in make_sheet(swing(scatter_ticks=0)).measures)


def test_drum_line_shows_the_groove_and_what_was_left_out() -> None:
    """Every hit stands in the drum line, left-out ones in brackets, and the legend says what plays what."""
    part = with_groove()
    drums = make_sheet(part, Options(drum_cue=True, ghost_left_out=True)).drums
    assert drums is not None
    heads = [h for bar in drums.voices for v in bar.values() for s in v for h in s.heads if not h.tied_from]
    assert len(heads) == len(part.groove.hits)
    assert {h.placed.index for h in heads if h.bracketed} == set(part.omissions[0].hits)
    assert "kick = left hand 5" in drums.legend
    assert "snare = left hand 1" in drums.legend


def test_legend_names_the_main_strokes_finger() -> None:
    """Where every snare is a flam, the legend tells the thumb that plays it, not the finger of its grace."""
    hits = [
        Hit(960 * beat - 40 * grace, Piece.SNARE, 100 - 60 * grace)
        for beat in range(1, 32)
        for grace in (1, 0)
    ]
    part = translate(Groove(tuple(hits), Timeline.of(Metre(4, 4), 112, 8)), parse_chart("| Am7 |"))
    assert sum(note.grace for note in part.notes) == 31
    drums = make_sheet(part, Options(drum_cue=True)).drums
    assert drums is not None
    assert "snare = left hand 1" in drums.legend


def test_every_bar_of_every_voice_is_full() -> None:
    """The symbols of a voice follow each other from bar line to bar line."""
    for part in (straight_eighths(), swing(), seven_eight(), tune_with_pickup(), with_groove()):
        for measure in make_sheet(part).measures:
            for symbols in measure.voices.values():
                assert symbols[0].tick == measure.bar.start_tick
                assert symbols[-1].end_tick == measure.bar.end_tick
                assert all(a.end_tick == b.tick for a, b in itertools.pairwise(symbols))
