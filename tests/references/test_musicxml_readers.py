"""Other programs read in a score what was meant.

Sources: music21 (Michael Cuthbert and others), MusicXML importer; verovio (RISM Digital Center), MusicXML importer and
its timemap.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from handgroove.harmony.chord import parse_chord
from handgroove.output.score import Options, format_musicxml, make_sheet
from handgroove.output.score.chordxml import format_harmony
from handgroove.output.score.sheet_model import Sheet
from tests.output.score.parts import ALL
from tests.output.score.translated import pattern_names, translated
from tests.references.score_readers import meant, read_with_music21, read_with_verovio

FEW = ("shuffle", "ballad-12-8", "sixteenth-funk", "five-four")


def check_with_music21(sheet: Sheet) -> None:
    """Assert that music21 reads every note, length, tie and finger, and that every bar of every voice is full."""
    read, score = read_with_music21(format_musicxml(sheet))
    assert read == meant(sheet)
    staves = [part for part in score.parts if "Staff" in str(part.id)]
    for number, part in enumerate(staves, 1):
        for measure, got in zip(sheet.measures, part.getElementsByClass("Measure"), strict=True):
            length = Fraction(measure.bar.length_ticks, 960)
            voices = list(got.voices) or [got]
            own = [v for v in measure.voices if (1 if v < 5 else 2) == number]
            assert len(voices) == len(own), f"bar {measure.bar.number}, staff {number}"
            assert Fraction(voices[0].highestTime) == length, f"bar {measure.bar.number}, staff {number}"


@pytest.mark.parametrize("make", ALL)
def test_music21_reads_parts_made_by_hand(make: Any) -> None:
    """Every pitch, onset, length, tie, finger and voice is read back as meant."""
    check_with_music21(make_sheet(make(), Options(fingerings="all")))


@pytest.mark.parametrize("name", FEW)
def test_music21_reads_patterns(name: str) -> None:
    """The same holds for translated patterns."""
    check_with_music21(make_sheet(translated(name, "flats")))


@pytest.mark.parametrize("chart_name", ["minor", "colours"])
def test_verovio_reads_every_pattern(chart_name: str) -> None:
    """verovio plays every note of every pattern at its written place, for its whole tied length, by its id."""
    for name in pattern_names():
        sheet = make_sheet(translated(name, chart_name))
        read = read_with_verovio(format_musicxml(sheet))
        expected = {
            f"n{head.placed.index}": (symbol.tick, symbol.event.end_tick, head.placed.note.pitch)
            for measure in sheet.measures
            for symbols in measure.voices.values()
            for symbol in symbols
            for head in symbol.heads
            if symbol.event and not head.tied_from
        }
        assert read == expected, name


def test_every_note_is_written_once() -> None:
    """Every note of a part is in the file, each once, under its own id."""
    for name in pattern_names():
        part = translated(name, "sharps")
        text = format_musicxml(make_sheet(part))
        for index in range(len(part.notes)):
            assert text.count(f'id="n{index}"') == 1, f"{name}, note {index}"


TRIADS = ["C", "Cm", "Cdim", "Caug", "Csus4", "Csus2", "C5", "C/E", "G/B"]
SEVENTHS = ["C7", "Cmaj7", "Cm7", "Cdim7", "Cm7b5", "C7#5", "C7b5", "C6", "Cm6", "F#m7", "Bb7"]
EXTENDED = ["C9", "Cmaj9", "Cm9", "C11", "Cm11", "C13", "C7b9", "C7#9", "C7#11", "Cadd9", "Cmaj7#11"]


@pytest.mark.parametrize("symbol", [*TRIADS, *SEVENTHS, *EXTENDED])
def test_music21_hears_the_chord(symbol: str) -> None:
    """The pitch classes that music21 makes of a written chord symbol are the chord's.

    A seventh added to a suspended chord is not in the list: MusicXML counts added degrees from a dominant chord, so
    that it is minor; music21 makes it major.
    """
    from music21 import converter, harmony

    chord = parse_chord(symbol)
    whole = (
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part></part-list>'
        '<part id="P1"><measure number="1"><attributes><divisions>1</divisions></attributes>'
        f"{''.join(format_harmony(chord, 1))}<note><rest/><duration>4</duration></note></measure></part>"
        "</score-partwise>"
    )
    score: Any = converter.parseData(whole, format="musicxml")
    read = next(iter(score.recurse().getElementsByClass(harmony.Harmony)))
    assert {pitch.pitchClass for pitch in read.pitches} == chord.pcs
