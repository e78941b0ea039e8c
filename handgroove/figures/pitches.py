"""Pitches by name: C4 is middle C, 60."""

from __future__ import annotations

from handgroove.errors import HandgrooveError, Problem
from handgroove.harmony.chord import LETTERS
from handgroove.harmony.names import common_name, match_name


def pitch_name(pitch: int) -> str:
    """Return a MIDI note number's name: 60 is C4."""
    return f"{common_name(pitch % 12)}{pitch // 12 - 1}"


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
