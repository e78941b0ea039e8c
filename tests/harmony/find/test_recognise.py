from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.harmony.chart import ChordSpan
from handgroove.harmony.chord import parse_chord
from handgroove.harmony.find.recognise import recognise_chords
from handgroove.timeline import Metre, Timeline
from tests.harmony.tones import Tone
from tests.tools.measure_harmony import made_band

FOUR = Metre(4, 4)


def symbols(spans: tuple[ChordSpan, ...]) -> list[tuple[float, str]]:
    """Return (start in quarters, symbol) of each span."""
    return [(s.start_tick / 960, s.chord.symbol if s.chord else "N.C.") for s in spans]


def chord_tones(symbol: str, start_tick: int, length_ticks: int, bass: int = 36) -> list[Tone]:
    """Return a chord held over its bass note."""
    chord = parse_chord(symbol)
    pitches = [bass + (chord.bass.pc - bass) % 12, *(60 + pc for pc in chord.tone_pcs)]
    return [Tone(start_tick, start_tick + length_ticks, pitch) for pitch in pitches]


@pytest.mark.parametrize(
    "symbol",
    [
        "C",
        "Cm",
        "C7",
        "Cmaj7",
        "Cm7",
        "Cm7b5",
        "Cdim7",
        "Csus4",
        "Caug",
        "F#m7",
        "Bb7",
        "C/E",
        "Bb7/D",
        "G7sus4",
    ],
)
def test_a_held_chord_is_recognised(symbol: str) -> None:
    """A chord that simply sounds is recognised with its inversion."""
    timeline = Timeline.of(FOUR, 120, 2)
    (span,) = recognise_chords(chord_tones(symbol, 0, 7680), timeline)
    assert span.chord is not None
    expected = parse_chord(symbol)
    assert (span.chord.root.pc, span.chord.tones, span.chord.bass.pc) == (
        expected.root.pc,
        expected.tones,
        expected.bass.pc,
    )


def test_changes_are_found_where_they_are() -> None:
    """Chords that change by the bar and the half bar come back in their places."""
    timeline = Timeline.of(FOUR, 120, 3)
    notes = (
        chord_tones("C", 0, 3840)
        + chord_tones("F", 3840, 1920)
        + chord_tones("G7", 5760, 1920)
        + chord_tones("C", 7680, 3840)
    )
    assert symbols(recognise_chords(notes, timeline)) == [(0, "C"), (4, "F"), (6, "G7"), (8, "C")]


def test_passing_notes_change_nothing() -> None:
    """A tune that walks over a chord does not change it."""
    timeline = Timeline.of(FOUR, 120, 2)
    tune = [Tone(480 * i, 480 * i + 480, p) for i, p in enumerate([72, 74, 76, 77, 79, 77, 76, 74])]
    assert symbols(recognise_chords(chord_tones("C", 0, 7680) + tune, timeline)) == [(0, "C")]


def test_missing_fifths_are_no_matter() -> None:
    """Root, third and seventh are enough for a dominant seventh."""
    notes = [Tone(0, 3840, pitch) for pitch in (36, 64, 70)]
    assert symbols(recognise_chords(notes, Timeline.of(FOUR, 120, 1))) == [(0, "C7")]


def test_long_silence_is_no_chord() -> None:
    """Where nothing sounds for bars there is no chord."""
    found = symbols(recognise_chords(chord_tones("C", 0, 3840), Timeline.of(FOUR, 120, 6)))
    assert [symbol for _, symbol in found] == ["C", "N.C."]


def test_a_made_band_is_read_right() -> None:
    """The made band's sevenths come back, nearly all of them exactly."""
    notes, timeline = made_band(0.5)
    found = recognise_chords(notes, timeline)
    expected = ["Dm7", "G7", "Cmaj7", "A7", "Fmaj7", "Bm7b5"]
    assert [s.chord.symbol for s in found if s.chord][:6] == expected
    assert [s.start_tick for s in found][:6] == [1920 * i for i in range(6)]


def test_nothing_sounds() -> None:
    """No notes give no spans."""
    assert recognise_chords([], Timeline.of(FOUR, 120, 2)) == ()


NOTES = st.lists(st.tuples(st.integers(0, 20000), st.integers(0, 3000), st.integers(0, 127)), max_size=40)


@given(NOTES, st.sampled_from([FOUR, Metre(3, 4), Metre(7, 8), Metre(6, 8)]))
@settings(max_examples=40, deadline=None)
def test_any_notes_give_whole_spans(raw: list[tuple[int, int, int]], metre: Metre) -> None:
    """Whatever sounds, spans cover it from the start without gaps."""
    notes = [Tone(start, start + length, pitch) for start, length, pitch in raw]
    spans = recognise_chords(notes, Timeline.of(metre, 120, 2))
    if notes:
        assert spans[0].start_tick == 0
        assert spans[-1].end_tick >= max(note.end_tick for note in notes)
        assert all(a.end_tick == b.start_tick for a, b in itertools.pairwise(spans))
