"""Transposition against music21's written intervals: every chord moves by the interval between the two tonics.

Source: music21 (M. S. Cuthbert and C. Ariza, 2010, ISMIR), `interval.Interval`. One difference is by design: where the
library writes a double accidental, or Cb, Fb, E# or B#, we write the plain note that sounds the same.
"""

from __future__ import annotations

from typing import Any

import pytest

from handgroove.harmony.chord import Key, parse_chord, parse_key
from handgroove.harmony.symbols.names import fifths, plainer
from tests.harmony.moving import parse_name, transpose_chord, transpose_key

interval = pytest.importorskip("music21.interval")
pitch = pytest.importorskip("music21.pitch")

KEYS = (
    "C",
    "G",
    "D",
    "A",
    "E",
    "B",
    "F#",
    "F",
    "Bb",
    "Eb",
    "Ab",
    "Db",
    "A minor",
    "E minor",
    "C minor",
    "F# minor",
    "G minor",
)
SYMBOLS = ("C", "F#m7b5", "Bb7", "E7/G#", "Am7", "Db", "G13", "D//C7")


def library_pitch(name: str) -> Any:
    """Return music21's pitch for *name*."""
    return pitch.Pitch(name.replace("b", "-"))


@pytest.mark.parametrize("key_name", KEYS)
def test_names_move_by_the_written_interval(key_name: str) -> None:
    """Root and bass of each chord, and the tonic, are the library's after the same interval."""
    key = parse_key(key_name)
    for semitones in range(1, 12):
        new = transpose_key(key, semitones)
        written = interval.Interval(library_pitch(str(key.tonic)), library_pitch(str(new.tonic)))
        for symbol in SYMBOLS:
            chord = parse_chord(symbol)
            moved = transpose_chord(chord, semitones, key)
            for before, after in ((chord.root, moved.root), (chord.bass, moved.bass)):
                theirs = library_pitch(str(before)).transpose(written)
                assert after.pc == theirs.pitchClass
                if abs(theirs.alter) <= 2:
                    assert after == plainer(parse_name(theirs.name.replace("-", "b")))


@pytest.mark.parametrize("key_name", KEYS)
def test_no_key_has_more_than_six_accidentals(key_name: str) -> None:
    """The new key is always the plainer of its spellings."""
    key = parse_key(key_name)
    for semitones in range(12):
        new: Key = transpose_key(key, semitones)
        assert abs(fifths(new)) <= 6
        assert (new.tonic.pc - key.tonic.pc) % 12 == semitones
