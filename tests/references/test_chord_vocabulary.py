"""Chord qualities against the vocabulary of chord annotation.

Source: C. Harte, M. Sandler, S. Abdallah, E. Gomez (2005), "Symbolic representation of musical chords: a proposed
syntax for text annotations", ISMIR; as bitmaps in mir_eval 0.8.2 (C. Raffel et al., 2014, "mir_eval: a transparent
implementation of common MIR metrics", ISMIR), `chord.QUALITIES` and `chord.encode`.
"""

from __future__ import annotations

import pytest

from handgroove.harmony.chord import parse_chord
from handgroove.harmony.symbols.chord_faults import QUALITIES

chord = pytest.importorskip("mir_eval.chord")

# the annotation's shorthand: our quality
SHORTHANDS = {
    "maj": "",
    "min": "m",
    "aug": "aug",
    "dim": "dim",
    "sus4": "sus4",
    "sus2": "sus2",
    "7": "7",
    "maj7": "maj7",
    "min7": "m7",
    "minmaj7": "m(maj7)",
    "maj6": "6",
    "min6": "m6",
    "dim7": "dim7",
    "hdim7": "m7b5",
    "5": "5",
}
EXTENDED = {
    "9": "9",
    "maj9": "maj9",
    "min9": "m9",
    "11": "11",
    "min11": "m11",
    "13": "13",
    "maj13": "maj13",
    "min13": "m13",
}
# Ours leave out the 11th over a major third (common practice); the annotation's thirteenths stack it.
WITHOUT_ELEVENTH = {"13", "maj13"}


def bits(steps: set[int]) -> list[int]:
    """Return the bitmap of *steps* above the root."""
    return [int(step in steps) for step in range(12)]


@pytest.mark.parametrize("shorthand", sorted(SHORTHANDS))
def test_bitmaps_agree_on_every_root(shorthand: str) -> None:
    """Root and tones are the bitmap's, whatever the root."""
    for root in ("C", "F#", "Bb", "Eb", "G#"):
        ours = parse_chord(root + SHORTHANDS[shorthand])
        root_pc, bitmap, _ = chord.encode(f"{root}:{shorthand}")
        assert ours.root.pc == root_pc
        assert bits(set(ours.tones)) == list(bitmap) == list(chord.QUALITIES[shorthand])
        assert ours.tensions == ()


@pytest.mark.parametrize("shorthand", sorted(EXTENDED))
def test_extended_chords_agree(shorthand: str) -> None:
    """Ninths, elevenths and thirteenths are the seventh chord with the annotation's extensions."""
    ours = parse_chord("C" + EXTENDED[shorthand])
    _, bitmap, _ = chord.encode(f"C:{shorthand}", reduce_extended_chords=False)
    seventh, extensions = chord.EXTENDED_QUALITY_REDUX[shorthand]
    assert bits(set(ours.tones)) == list(chord.QUALITIES[seventh])
    stacked = {chord.scale_degree_to_semitone(degree) % 12 for degree in extensions}
    expected = stacked - {5} if shorthand in WITHOUT_ELEVENTH else stacked
    assert set(ours.tensions) == expected
    assert list(bitmap)[:12][0] == 1


@pytest.mark.parametrize(
    ("ours", "label"), [("C/E", "C:maj/3"), ("Am7/G", "A:min7/b7"), ("F/A", "F:maj/3"), ("G7/B", "G:7/3")]
)
def test_inversions_agree(ours: str, label: str) -> None:
    """The bass of a slash chord is the annotation's bass degree."""
    root_pc, _, bass = chord.encode(label)
    found = parse_chord(ours)
    assert (found.root.pc, (found.bass.pc - found.root.pc) % 12) == (root_pc, bass)


def test_all_plain_qualities_of_the_vocabulary_are_ours() -> None:
    """Nothing of the annotation's vocabulary is missing, but a bare root, which is no chord on a chart."""
    assert set(chord.QUALITIES) - set(SHORTHANDS) - set(chord.EXTENDED_QUALITY_REDUX) <= {"", "1"}
    assert set(SHORTHANDS.values()) <= set(QUALITIES)
