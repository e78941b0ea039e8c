"""Root and fifth, and walking lines."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handgroove.harmony.chord import parse_chord
from handgroove.harmony.voice.low_lines import HIGHEST, LOWEST, fifth_of, leading_note, middle_of, walk
from handgroove.timeline import Metre

CHORDS = ["Dm7", "G7", "Cmaj7", "A7b13", "F6", "Bm7b5", "Ebmaj7", "F#dim7", "C5", "Db9", "E7#9", "Absus4"]


@pytest.mark.parametrize(
    ("symbol", "low", "target", "line"),
    [
        ("Dm7", 38, 43, (38, 41, 45, 44)),
        ("G7", 43, 36, (43, 41, 38, 37)),
        ("Cmaj7", 36, 45, (36, 40, 43, 44)),
        ("A7b13", 45, 38, (45, 43, 41, 39)),
    ],
)
def test_the_worked_line_walks_as_written(symbol: str, low: int, target: int, line: tuple[int, ...]) -> None:
    """D2 F2 A2 Ab2 | G2 F2 D2 Db2 | C2 E2 G2 G#2 | A2 G2 F2 Eb2 (our own writing, common practice)."""
    assert walk(low, parse_chord(symbol), target, 4) == line


@given(st.sampled_from(CHORDS), st.integers(36, 47), st.integers(1, 7))
def test_a_walking_line_is_a_line(symbol: str, target: int, beats: int) -> None:
    """It begins on the root, has chord tones, leaps an octave at most, repeats no key and ends a half step off home."""
    chord = parse_chord(symbol)
    low = 36 + chord.root.pc
    line = walk(low, chord, target, beats)
    assert len(line) == beats
    assert line[0] == low
    assert all(LOWEST <= pitch <= HIGHEST for pitch in line)
    assert all(pitch % 12 in chord.pcs for pitch in line[:-1])
    assert all(0 < abs(b - a) <= 12 for a, b in pairwise(line))
    assert beats < 2 or abs(line[-1] - target) == 1


@pytest.mark.parametrize(
    ("symbol", "low", "other"),
    [
        ("Dm7", 38, 45),
        ("G7", 43, 38),
        ("C", 36, 43),
        ("Am", 45, 40),
        ("Am", 33, 40),
        ("F", 29, 36),
        ("C/E", 40, 40),
    ],
)
def test_a_fifth_lies_where_the_hand_is(symbol: str, low: int, other: int) -> None:
    """Low roots have their fifth above, high ones below, so that all stays in reach; a slash chord's bass stays."""
    assert fifth_of(low, parse_chord(symbol)) == other


def test_a_half_step_leads_on_from_the_side_of_the_hand() -> None:
    """From A2 to D2 it comes from above, from C2 to A2 from below; between neighbours there is no room."""
    assert [leading_note(45, 38), leading_note(36, 45), leading_note(43, 45)] == [39, 44, 44]
    assert (leading_note(44, 45), leading_note(45, 45)) == (None, None)


@pytest.mark.parametrize(
    ("metre", "middle"),
    [
        ((4, 4), 1920),
        ((2, 4), 960),
        ((3, 4), 1920),
        ((6, 8), 1440),
        ((12, 8), 2880),
        ((5, 4), 2880),
        ((7, 8), 1920),
    ],
)
def test_the_second_half_begins_on_a_beat(metre: tuple[int, int], middle: int) -> None:
    """Where a bar has no middle, the longer part comes first."""
    assert middle_of(Metre(*metre)) == middle
