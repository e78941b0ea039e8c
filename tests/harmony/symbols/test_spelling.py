from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.harmony.chord import LETTERS, Chord, Key, parse_chord, parse_key
from handgroove.harmony.symbols.chord_faults import QUALITIES
from handgroove.harmony.symbols.key_profiles import all_keys
from handgroove.harmony.symbols.scales import key_pcs
from handgroove.harmony.symbols.spelling import chord_names, spell, spell_pc


@pytest.mark.parametrize(
    ("pitch", "key", "symbol", "name"),
    [
        (66, "D", None, "F#4"),
        (66, "Db", None, "Gb4"),
        (61, "D", None, "C#4"),
        (70, "C", None, "Bb4"),
        (68, "A minor", None, "G#4"),
        (68, "C", "E7", "G#4"),
        (68, "C", "Fm", "Ab4"),
        (59, "Gb", None, "Cb4"),
        (60, "C#", None, "B#3"),
        (57, "C", "Cdim7", "Bbb3"),
        (63, "C", "C7#9", "D#4"),
        (63, "C", "Cm", "Eb4"),
    ],
)
def test_spelled_by_chord_and_key(pitch: int, key: str, symbol: str | None, name: str) -> None:
    """A pitch is spelled as the chord spells it, else as the key does, with its octave by letter."""
    spelled, octave = spell(pitch, parse_key(key), parse_chord(symbol) if symbol else None)
    assert f"{spelled}{octave}" == name


@pytest.mark.parametrize("key", all_keys())
def test_the_keys_own_notes_have_seven_letters(key: Key) -> None:
    """The seven notes of a key are spelled on seven letters."""
    assert len({spell_pc(pc, key).letter for pc in key_pcs(key)}) == 7


CHORDS = st.builds(
    lambda r, q: parse_chord(r + q), st.sampled_from(["C", "F#", "Bb", "Db"]), st.sampled_from(QUALITIES)
)


@given(st.integers(0, 127), st.sampled_from(all_keys()), st.one_of(st.none(), CHORDS))
@settings(deadline=None)
def test_a_spelled_pitch_is_that_pitch(pitch: int, key: Key, chord: Chord | None) -> None:
    """Whatever the spelling, name and octave sound the pitch that they spell."""
    name, octave = spell(pitch, key, chord)
    assert 12 * (octave + 1) + LETTERS[name.letter] + name.alter == pitch


@given(CHORDS)
@settings(deadline=None)
def test_chord_names_sound_the_chord(chord: Chord) -> None:
    """A chord's names are those of its pitch classes."""
    names = chord_names(chord)
    assert set(names) == chord.pcs
    assert all(name.pc == pc for pc, name in names.items())
