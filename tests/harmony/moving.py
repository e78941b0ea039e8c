"""Single keys and chords transposed, as a chart moves its own."""

from __future__ import annotations

from handgroove.harmony.symbols.chord_model import Chord, Key, Name
from handgroove.harmony.symbols.names import match_name
from handgroove.harmony.symbols.transpose import key_interval, move_chord


def transpose_key(key: Key, semitones: int) -> Key:
    """Return *key* moved by *semitones*, in the spelling with the fewest sharps or flats."""
    return Key(key_interval(key, semitones).above(key.tonic), key.minor)


def transpose_chord(chord: Chord, semitones: int, key: Key | None = None) -> Chord:
    """Return *chord* moved by *semitones*, spelled for *key* (the key before; without one, the chord's own root)."""
    home = key or Key(chord.root, 3 in chord.tones)
    return move_chord(chord, key_interval(home, semitones))


def parse_name(text: str) -> Name:
    """Return the note name that *text* spells (C, F#, Bb, F##)."""
    matched = match_name(text)
    assert matched is not None
    assert matched[1] == len(text)
    return matched[0]
