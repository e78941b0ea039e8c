"""Pitches spelled as a musician reads them: by the chord they sound in, else by the key.

Every name has a place on the line of fifths (F = -1, C = 0, G = 1 ...). Notes outside chord and key take the name that
lies from five fifths below to six above the tonic, which is how accidentals are commonly written (C major: F# but Bb
and Eb; D major: never Gb). Common practice, no source. Octaves count so that middle C is C4 = 60.
"""

from __future__ import annotations

from functools import lru_cache

from handgroove.harmony.symbols.chord_model import Chord, Key, Name
from handgroove.harmony.symbols.names import name_above

_BELOW_TONIC, _ABOVE_TONIC = 5, 6
_TONE_DEGREE = {0: 1, 2: 2, 3: 3, 4: 3, 5: 4, 6: 5, 7: 5, 8: 5, 9: 6, 10: 7, 11: 7}
_TENSION_DEGREE = {1: 2, 2: 2, 3: 2, 4: 4, 5: 4, 6: 4, 7: 5, 8: 6, 9: 6, 10: 7, 11: 7}
_DIMINISHED_SEVENTH = {3, 6, 9}


def spell(pitch: int, key: Key, chord: Chord | None = None) -> tuple[Name, int]:
    """Return the name of MIDI *pitch* and its octave (middle C = C4) in *key* where *chord* sounds."""
    name = (chord_names(chord).get(pitch % 12) if chord else None) or spell_pc(pitch % 12, key)
    return name, (pitch - name.alter) // 12 - 1


@lru_cache(maxsize=512)
def spell_pc(pc: int, key: Key) -> Name:
    """Return the name of pitch class *pc* in *key*."""
    tonic = fifths_place(key.tonic)
    places = range(tonic - _BELOW_TONIC, tonic + _ABOVE_TONIC + 1)
    place = next(place for place in places if (place * 7) % 12 == pc)
    letter = "FCGDAEB"[(place + 1) % 7]
    return Name(letter, (place + 1) // 7)


def fifths_place(name: Name) -> int:
    """Return where *name* stands on the line of fifths, C = 0."""
    return "FCGDAEB".index(name.letter) - 1 + 7 * name.alter


@lru_cache(maxsize=1024)
def chord_names(chord: Chord) -> dict[int, Name]:
    """Return the name of each pitch class of *chord*, spelled on its degrees (the seventh of Cdim7 is Bbb)."""
    diminished = set(chord.tones) >= _DIMINISHED_SEVENTH and not set(chord.tones) & {7, 10, 11}
    names = {chord.root.pc: chord.root}
    for step in chord.tensions:
        names[(chord.root.pc + step) % 12] = name_above(chord.root, _TENSION_DEGREE[step], step)
    for step in chord.tones:
        degree = 7 if step == 9 and diminished else _TONE_DEGREE[step]
        names[(chord.root.pc + step) % 12] = name_above(chord.root, degree, step)
    names.setdefault(chord.bass.pc, chord.bass)
    return names
