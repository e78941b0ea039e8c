from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.harmony.chord import parse_key
from handgroove.harmony.find.chord_fit import templates
from handgroove.harmony.find.live_chords import LiveChords
from handgroove.harmony.find.recognise import recognise_chords
from handgroove.harmony.symbols.chord_text import make_chord
from handgroove.harmony.symbols.names import common_name
from handgroove.timeline import Metre, Timeline
from tests.harmony.tones import Tone


def pressed(*pitches: int) -> str | None:
    """Return the symbol of the chord that *pitches* make, pressed together."""
    live = LiveChords()
    for pitch in pitches:
        live.press(pitch, 0.0)
    chord = live.chord(0.01)
    return chord.symbol if chord else None


@pytest.mark.parametrize(
    ("pitches", "symbol"),
    [
        ((60, 64, 67), "C"),
        ((64, 67, 72), "C/E"),
        ((60, 64, 70), "C7"),
        ((57, 60, 64, 67), "Am7"),
        ((60, 64, 67, 69), "C6"),
        ((48, 64, 67, 71), "Cmaj7"),
        ((60, 63, 66, 69), "Cdim7"),
        ((60, 65, 67), "Csus4"),
        ((48, 52, 55, 58, 62), "C9"),
        ((48, 52, 58, 62, 69), "C13"),
        ((48, 52, 58, 61), "C7b9"),
        ((48, 52, 58, 63), "C7#9"),
        ((60, 67), "C5"),
        ((60, 65), "F5"),
        ((60, 64), "C"),
        ((55, 59, 62, 64), "G6"),
    ],
)
def test_chords_of_the_hand(pitches: tuple[int, ...], symbol: str) -> None:
    """Inversions, missing fifths and added tensions are recognised from the keys held."""
    assert pressed(*pitches) == symbol


@pytest.mark.parametrize("pitches", [(), (60,), (60, 61, 62), (60, 61)])
def test_too_little_is_no_chord(pitches: tuple[int, ...]) -> None:
    """A single key or a cluster makes no chord."""
    assert pressed(*pitches) is None


@pytest.mark.parametrize("tones", sorted({one.tones for one in templates()}))
def test_live_and_files_agree(tones: tuple[int, ...]) -> None:
    """Every chord of the vocabulary over its root, on every root, is recognised exactly, live and in a file."""
    for root_pc in range(12):
        chord = make_chord(common_name(root_pc), tones)
        pitches = [36 + root_pc, *(60 + (root_pc + step) % 12 for step in tones)]
        assert pressed(*pitches) == chord.symbol
        notes = [Tone(0, 7680, pitch) for pitch in pitches]
        (span,) = recognise_chords(notes, Timeline.of(Metre(4, 4), 120, 2), ())
        assert span.chord is not None
        assert (span.chord.root.pc, span.chord.tones) == (root_pc, tones)


def test_the_chord_is_latched() -> None:
    """Lifting the hand, or single notes after it, leave the chord as it was."""
    live = LiveChords()
    for pitch in (57, 60, 64):
        live.press(pitch, 0.0)
    for pitch in (57, 60, 64):
        live.release(pitch, 0.5)
    live.press(72, 2.0)
    chord = live.chord(9.0)
    assert chord is not None
    assert chord.symbol == "Am"


def test_a_chord_let_go_before_anyone_asked_counts() -> None:
    """A short stab is a chord even if nobody asked while it sounded."""
    live = LiveChords()
    for pitch in (53, 57, 60):
        live.press(pitch, 0.0)
    for pitch in (53, 57, 60):
        live.release(pitch, 0.1)
    chord = live.chord(1.0)
    assert chord is not None
    assert chord.symbol == "F"


def test_a_rolled_chord_is_one_chord() -> None:
    """Keys pressed one after the other, each let go, make a chord if they come quickly enough."""
    live = LiveChords()
    for index, pitch in enumerate((55, 59, 62)):
        live.press(pitch, index * 0.1)
        live.release(pitch, index * 0.1 + 0.05)
    chord = live.chord(0.3)
    assert chord is not None
    assert chord.symbol == "G"


def test_an_old_chord_does_not_mix_with_the_new() -> None:
    """What was held before and has come up plays no part in the next chord."""
    live = LiveChords()
    for pitch in (57, 60, 64):
        live.press(pitch, 0.0)
    for pitch in (57, 60, 64):
        live.release(pitch, 1.0)
    for pitch in (55, 59, 62):
        live.press(pitch, 1.02)
    chord = live.chord(1.03)
    assert chord is not None
    assert chord.symbol == "G"


def test_the_key_spells_and_the_split_limits() -> None:
    """Chords are spelled in the key, and keys above the split are a tune."""
    live = LiveChords(key=parse_key("D"), split=60)
    for pitch in (54, 58, 61 - 12, 72, 75):
        live.press(pitch, 0.0)
    chord = live.chord(0.0)
    assert chord is not None
    assert chord.symbol == "F#/C#"
    live.clear()
    assert live.chord(1.0) is None


@given(st.lists(st.tuples(st.booleans(), st.integers(0, 127)), max_size=60))
@settings(deadline=None)
def test_any_keys_are_taken(events: list[tuple[bool, int]]) -> None:
    """No order of keys, not even releases of keys never pressed, upsets it, and the answer is causal."""
    live, same = LiveChords(), LiveChords()
    for index, (down, pitch) in enumerate(events):
        for one in (live, same):
            (one.press if down else one.release)(pitch, index * 0.03)
        assert live.chord(index * 0.03) == same.chord(index * 0.03)
