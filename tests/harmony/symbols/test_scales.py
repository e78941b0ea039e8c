from __future__ import annotations

import pytest

from handgroove.harmony.chord import Key, Name, parse_chord
from handgroove.harmony.symbols.chord_faults import QUALITIES
from handgroove.harmony.symbols.scales import (
    ALTERED,
    DORIAN,
    LYDIAN,
    MIXOLYDIAN,
    PHRYGIAN_DOMINANT,
    scale_in_key,
)


@pytest.mark.parametrize("quality", QUALITIES)
def test_the_scale_holds_the_whole_chord(quality: str) -> None:
    """A chord's scale has all its tones and tensions, in order, from the root."""
    chord = parse_chord("C" + quality)
    assert set(chord.tones) | set(chord.tensions) <= set(chord.scale)
    assert chord.scale[0] == 0
    assert list(chord.scale) == sorted(chord.scale)


@pytest.mark.parametrize(
    ("symbol", "scale"),
    [
        ("C7", MIXOLYDIAN),
        ("Cm7", DORIAN),
        ("Cmaj7#11", LYDIAN),
        ("C7alt", ALTERED),
        ("C7b9", PHRYGIAN_DOMINANT),
    ],
)
def test_taught_scales(symbol: str, scale: tuple[int, ...]) -> None:
    """The scale is the one that is taught for the chord (common practice, no source)."""
    assert parse_chord(symbol).scale == scale


def test_the_key_chooses_among_fitting_scales() -> None:
    """E7 leads to A minor with the notes of A minor; Fmaj7 in C major is lydian."""
    a_minor, c_major = Key(Name("A"), True), Key(Name("C"))
    assert scale_in_key(parse_chord("E7"), a_minor) == PHRYGIAN_DOMINANT
    assert scale_in_key(parse_chord("Fmaj7"), c_major) == LYDIAN
    assert scale_in_key(parse_chord("Fmaj7"), None) == parse_chord("Fmaj7").scale
