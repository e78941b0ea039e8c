"""Rudiment stickings: Percussive Arts Society, *PAS International Drum Rudiments* (1984)."""

from __future__ import annotations

import pytest

from handgroove.figures.sticking import RUDIMENTS, stick
from handgroove.strike import Hand

LISTED = {
    "single stroke four": "RLRL",
    "five stroke roll": "RRLLRLLRRL",
    "six stroke roll": "RLLRRLRLLRRL",
    "single paradiddle": "RLRRLRLL",
    "double paradiddle": "RLRLRRLRLRLL",
    "triple paradiddle": "RLRLRLRRLRLRLRLL",
    "single paradiddle-diddle": "RLRRLL",
    "flam": "LRRL",
    "drag": "LLRRRL",
    "flam tap": "LRRRLL",
    "single drag tap": "LLRLRRLR",
}


def letters(rudiment: str, strokes: int, lead: Hand = Hand.RIGHT) -> str:
    """Return a sticking as letters."""
    return "".join("R" if hand is Hand.RIGHT else "L" for hand in stick(rudiment, strokes, lead))


@pytest.mark.parametrize("rudiment", LISTED)
def test_stickings_are_the_lists(rudiment: str) -> None:
    """Each rudiment is stuck as listed, repeats included."""
    assert letters(rudiment, len(LISTED[rudiment])) == LISTED[rudiment]


def test_left_lead_mirrors() -> None:
    """Led by the left hand, the paradiddle-diddle is L R L L R R."""
    assert letters("single paradiddle-diddle", 6, Hand.LEFT) == "LRLLRR"


@pytest.mark.parametrize(("rudiment", "length"), [("single paradiddle", 4), ("double paradiddle", 6)])
def test_paradiddles_change_their_lead(rudiment: str, length: int) -> None:
    """The paradiddle changes lead every 4 strokes and the double one every 6; hands are equally busy."""
    text = letters(rudiment, 2 * length)
    assert text[0] != text[length]
    assert text.count("R") == text.count("L")


def test_paradiddle_diddle_keeps_its_lead() -> None:
    """The paradiddle-diddle begins again with the same hand."""
    text = letters("single paradiddle-diddle", 12)
    assert text[0] == text[6]


def test_every_rudiment_has_its_letters() -> None:
    """The table holds strokes and grace strokes only."""
    assert all(set(text) <= set("RLrl") for text in RUDIMENTS.values())
