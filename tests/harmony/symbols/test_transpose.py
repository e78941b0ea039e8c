from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.harmony.chart import parse_chart, transpose_chart
from handgroove.harmony.chord import parse_chord, parse_key
from handgroove.harmony.symbols.chord_faults import QUALITIES
from handgroove.harmony.symbols.key_profiles import all_keys
from handgroove.harmony.symbols.names import fifths
from tests.harmony.moving import transpose_chord, transpose_key


@pytest.mark.parametrize(
    ("key", "semitones", "new"),
    [
        ("C", 1, "Db"),
        ("C", 3, "Eb"),
        ("A minor", 3, "C minor"),
        ("G", -1, "F#"),
        ("F", 1, "Gb"),
        ("E", 1, "F"),
        ("B minor", 1, "C minor"),
        ("C minor", 1, "C# minor"),
    ],
)
def test_a_key_goes_to_its_plainest_spelling(key: str, semitones: int, new: str) -> None:
    """A transposed key has the fewest sharps or flats, and of two as plain the one on its old side."""
    assert transpose_key(parse_key(key), semitones) == parse_key(new)


@pytest.mark.parametrize(
    ("symbol", "semitones", "key", "new"),
    [
        ("F#m7b5", 3, "A minor", "Am7b5"),
        ("Ab7", 2, "C", "Bb7"),
        ("E7/G#", 1, "A minor", "F7/A"),
        ("D//C7", 5, "C", "G//F7"),
        ("C#dim7", -2, "D", "Bdim7"),
        ("G7", 6, "C", "Db7"),
    ],
)
def test_chords_move_by_the_keys_own_interval(symbol: str, semitones: int, key: str, new: str) -> None:
    """Roots, basses and both halves of a polychord move by one written interval."""
    assert transpose_chord(parse_chord(symbol), semitones, parse_key(key)).symbol == new


@given(st.sampled_from(QUALITIES), st.sampled_from(all_keys()), st.integers(-12, 12))
@settings(deadline=None)
def test_transposition_keeps_the_chord(quality: str, key: object, semitones: int) -> None:
    """Every note of a transposed chord has moved by the same number of semitones, and its symbol says so."""
    chord = parse_chord(f"{key.tonic}{quality}")  # type: ignore[attr-defined]
    moved = transpose_chord(chord, semitones, key)  # type: ignore[arg-type]
    assert moved.pcs == {(pc + semitones) % 12 for pc in chord.pcs}
    assert parse_chord(moved.symbol) == moved
    assert abs(moved.root.alter) <= 1


def test_a_chart_is_transposed_whole() -> None:
    """Key, pickup and every chord move; title, metre and marks stay."""
    chart = parse_chart("title: One\nkey: D\npickup: A7\n| D >G | F#m7! N.C. |")
    moved = transpose_chart(chart, -2)
    assert moved == parse_chart("title: One\nkey: C\npickup: G7\n| C >F | Em7! N.C. |")
    assert transpose_chart(chart, 12) == chart


def test_signatures() -> None:
    """A key's signature is counted in fifths."""
    assert [fifths(parse_key(text)) for text in ("C", "D", "Bb", "A minor", "F# minor", "Eb minor")] == [
        0,
        2,
        -2,
        0,
        3,
        -6,
    ]
