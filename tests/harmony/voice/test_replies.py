from __future__ import annotations

import pytest

from handgroove.harmony.chord import parse_chord
from handgroove.harmony.voice.replies import approach_pitch, fold_low, reply_pitch
from handgroove.harmony.voice.voicing_settings import Reply


@pytest.mark.parametrize(
    ("low", "symbol", "reply", "reach", "pitch"),
    [
        (33, "Am7", Reply.OCTAVE, 12, 45),
        (40, "Em", Reply.FIFTH, 12, 47),
        (38, "Ddim", Reply.FIFTH, 12, 50),  # a tritone so low is mud: the octave instead
        (33, "Am", Reply.TENTH, 15, 48),
        (33, "Am", Reply.TENTH, 14, 45),  # out of reach: the octave instead
        (41, "F7", Reply.CHORD_TONE, 12, 51),
        (40, "C/E", Reply.FIFTH, 12, 52),  # a minor third above E2 is mud
        (28, "C/E", Reply.OCTAVE, 12, 40),
    ],
)
def test_the_thumbs_reply(low: int, symbol: str, reply: Reply, reach: int, pitch: int) -> None:
    """The thumb answers with what is asked for, if the hand reaches it and it is clear; else with the octave."""
    assert reply_pitch(low, parse_chord(symbol), reply, reach) == pitch


def test_approach_notes_lead_in_by_step() -> None:
    """The approach comes from the side of the note before, in the chord's scale, and not where there's no room."""
    assert approach_pitch(33, 36, parse_chord("C")) == 35
    assert approach_pitch(36, 29, parse_chord("F")) == 31
    assert approach_pitch(29, 34, parse_chord("Bbmaj7")) == 33
    assert approach_pitch(40, 33, parse_chord("Am")) == 35
    assert approach_pitch(33, 35, parse_chord("Bm7b5")) is None


def test_bass_notes_are_folded_into_the_hands_octave() -> None:
    """A bass guitar's note comes into the low range, near to where the hand is."""
    assert fold_low(52, None) == 28
    assert fold_low(52, 42) == 40
    assert fold_low(21, 30) == 33
