"""The scale that fits a chord.

A scale fits when it holds every note of the chord and, where the fifth is altered, not the natural fifth beside
it. Of those that fit, the first in the family's order is the chord's own; with a key, the one that shares most
notes with the key. The order is common practice in chord-scale teaching, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from handgroove.harmony.symbols.chord_model import Chord, Key

Steps = tuple[int, ...]

IONIAN: Steps = (0, 2, 4, 5, 7, 9, 11)
LYDIAN: Steps = (0, 2, 4, 6, 7, 9, 11)
MIXOLYDIAN: Steps = (0, 2, 4, 5, 7, 9, 10)
DORIAN: Steps = (0, 2, 3, 5, 7, 9, 10)
AEOLIAN: Steps = (0, 2, 3, 5, 7, 8, 10)
PHRYGIAN: Steps = (0, 1, 3, 5, 7, 8, 10)
LOCRIAN: Steps = (0, 1, 3, 5, 6, 8, 10)
LOCRIAN_NATURAL_2: Steps = (0, 2, 3, 5, 6, 8, 10)
MELODIC_MINOR: Steps = (0, 2, 3, 5, 7, 9, 11)
HARMONIC_MINOR: Steps = (0, 2, 3, 5, 7, 8, 11)
LYDIAN_AUGMENTED: Steps = (0, 2, 4, 6, 8, 9, 11)
LYDIAN_DOMINANT: Steps = (0, 2, 4, 6, 7, 9, 10)
MIXOLYDIAN_FLAT_6: Steps = (0, 2, 4, 5, 7, 8, 10)
PHRYGIAN_DOMINANT: Steps = (0, 1, 4, 5, 7, 8, 10)
HALF_WHOLE: Steps = (0, 1, 3, 4, 6, 7, 9, 10)
WHOLE_HALF: Steps = (0, 2, 3, 5, 6, 8, 9, 11)
ALTERED: Steps = (0, 1, 3, 4, 6, 8, 10)
WHOLE_TONE: Steps = (0, 2, 4, 6, 8, 10)

_MAJOR = (IONIAN, LYDIAN, MIXOLYDIAN, LYDIAN_AUGMENTED, WHOLE_TONE)
_DOMINANT = (
    MIXOLYDIAN,
    LYDIAN_DOMINANT,
    PHRYGIAN_DOMINANT,
    MIXOLYDIAN_FLAT_6,
    HALF_WHOLE,
    WHOLE_TONE,
    ALTERED,
)
_MINOR = (AEOLIAN, DORIAN, PHRYGIAN, MELODIC_MINOR, HARMONIC_MINOR)
_MINOR_SEVENTH = (DORIAN, AEOLIAN, PHRYGIAN, MELODIC_MINOR, HARMONIC_MINOR)
_DIMINISHED = (LOCRIAN, LOCRIAN_NATURAL_2, WHOLE_HALF)
_OPEN = (MIXOLYDIAN, DORIAN, IONIAN, AEOLIAN, PHRYGIAN, LYDIAN)


def _family(tones: frozenset[int]) -> tuple[Steps, ...]:
    """Return the scales to try for a chord of *tones*, the likeliest first."""
    if 4 in tones:
        return _DOMINANT if 10 in tones else _MAJOR
    if 3 in tones:
        if 6 in tones and 7 not in tones:
            return (WHOLE_HALF, *_DIMINISHED) if 9 in tones or 11 in tones else _DIMINISHED
        return _MINOR_SEVENTH if tones & {9, 10} else _MINOR
    return _OPEN


def _fitting(tones: frozenset[int], tensions: frozenset[int]) -> list[Steps]:
    """Return every scale of the chord's family that fits its notes."""
    altered_fifth = bool(tones & {6, 8}) and 7 not in tones
    return [
        scale
        for scale in _family(tones)
        if (tones | tensions) <= set(scale) and not (altered_fifth and 7 in scale)
    ]


def fit_scale(tones: Iterable[int], tensions: Iterable[int] = ()) -> Steps:
    """Return the scale, in semitones above the root, that fits *tones* and *tensions*."""
    chord, added = frozenset(tones), frozenset(tensions)
    fitting = _fitting(chord, added)
    if fitting:
        return fitting[0]
    # No taught scale holds it: the chord's notes, filled up from the family's first scale where nothing rubs.
    notes = set(chord | added)
    for step in _family(chord)[0]:
        if not {(step - 1) % 12, step, (step + 1) % 12} & notes:
            notes.add(step)
    return tuple(sorted(notes))


@lru_cache(maxsize=512)
def scale_in_key(chord: Chord, key: Key | None) -> Steps:
    """Return the scale above *chord*'s root that fits it and shares most notes with *key*."""
    fitting = _fitting(frozenset(chord.tones), frozenset(chord.tensions))
    if key is None or not fitting:
        return chord.scale
    pcs = key_pcs(key)
    return max(fitting, key=lambda scale: sum((chord.root.pc + step) % 12 in pcs for step in scale))


def key_pcs(key: Key) -> frozenset[int]:
    """Return the seven pitch classes of *key* (natural minor for a minor key)."""
    return frozenset((key.tonic.pc + step) % 12 for step in (AEOLIAN if key.minor else IONIAN))
