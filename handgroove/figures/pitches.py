"""Pitches by name: C4 is middle C, 60."""

from __future__ import annotations

from handgroove.errors import HandgrooveError, Problem
from handgroove.harmony.chord import LETTERS, Chord, Key
from handgroove.harmony.symbols.names import common_name, match_name, plainer
from handgroove.harmony.symbols.spelling import spell


def pitch_name(pitch: int, key: Key | None = None, chord: Chord | None = None) -> str:
    """Return a MIDI note number's name: 60 is C4; 68 is G#4 over E7, Ab4 over Fm, and what is usual without a key."""
    if key is None:
        return f"{common_name(pitch % 12)}{pitch // 12 - 1}"
    name, octave = spell(pitch, key, chord)
    if abs(name.alter) > 1:  # what is read at a glance has no double accidentals
        name = plainer(name)
        octave = (pitch - name.alter) // 12 - 1
    return f"{name}{octave}"


def parse_pitch(name: str) -> int:
    """Return the MIDI note number of a name such as F#4 or Bb3."""
    matched = match_name(name)
    if matched is not None:
        found, end = matched
        octave = name[end:]
        if octave.removeprefix("-").isdigit():
            pitch = 12 * (int(octave) + 1) + LETTERS[found.letter] + found.alter
            if 0 <= pitch <= 127:
                return pitch
    raise HandgrooveError(Problem("", f"expected a note such as C4, F#4 or Bb3, got {name!r}"))
