from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.harmony.chord import parse_chord
from handgroove.harmony.symbols.chord_faults import QUALITIES
from handgroove.harmony.voice.low_notes import low_pc, next_low, plan_low
from handgroove.harmony.voice.voicing_settings import HarmonySettings, LowChoice
from tests.harmony.made_charts import CHANGES, laid


def test_the_low_notes_of_a_minor_and_f() -> None:
    """Am7 is A1, Fmaj7 F1: the hand moves down four semitones; G7 to C ends on C2."""
    assert plan_low(laid("| Am7 | Fmaj7 |")) == (33, 29)
    assert plan_low(laid("| G7 | C |"))[1] == 36


def test_live_low_notes_follow_the_hand() -> None:
    """The next low note is the nearest; without a chord it stays."""
    first = next_low(None, parse_chord("Am7"))
    assert (first, next_low(first, parse_chord("Fmaj7"))) == (33, 29)
    assert next_low(first, None) == first


def test_slash_chords_take_the_bass() -> None:
    """The note under the slash is the low note; a root or fifth can be asked for instead."""
    chord = parse_chord("C/E")
    assert low_pc(chord) == 4
    assert low_pc(chord, LowChoice.ROOT) == 0
    assert low_pc(parse_chord("Cdim7"), LowChoice.FIFTH) == 6
    assert low_pc(chord, LowChoice.FIFTH) == 4


def test_no_chord_keeps_the_low_note() -> None:
    """Over N.C. the low note before stays; at the start it is the key's tonic."""
    low = plan_low(laid("key: D\n| N.C. | C | N.C. |"))
    assert low[0] % 12 == 2
    assert low[2] == low[1]


def test_no_octave_leap_between_bars() -> None:
    """Over a long chart the hand never leaps an octave or more."""
    low = plan_low(laid(CHANGES + CHANGES))
    assert max(abs(b - a) for a, b in pairwise(low)) < 12


@given(
    st.lists(
        st.tuples(st.sampled_from(["C", "F#", "Eb", "A", "B"]), st.sampled_from(QUALITIES)),
        min_size=1,
        max_size=20,
    )
)
@settings(max_examples=60, deadline=None)
def test_any_chords_stay_in_range_without_leaps(chords: list[tuple[str, str]]) -> None:
    """Whatever the chords, low notes are the chord's bass, stay in the range, and never leap an octave."""
    harmony = laid(" | ".join(root + quality for root, quality in chords))
    low = plan_low(harmony)
    lowest, highest = HarmonySettings().low_range
    for span, pitch in zip(harmony.spans, low, strict=True):
        assert span.chord is not None
        assert pitch % 12 == span.chord.bass.pc
        assert lowest <= pitch <= highest
    assert all(abs(b - a) < 12 for a, b in pairwise(low))


@pytest.mark.parametrize("choice", list(LowChoice))
def test_each_choice_is_planned(choice: LowChoice) -> None:
    """Planning takes the note that the settings choose."""
    harmony = laid("| C/E | Am | Fdim |")
    low = plan_low(harmony, HarmonySettings(low=choice))
    assert [p % 12 for p in low] == [low_pc(s.chord, choice) for s in harmony.spans if s.chord]
