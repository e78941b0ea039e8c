"""The fingering rules' costs on hand-made fragments."""

from __future__ import annotations

import pytest

from handgroove.hands.hand_model import TABLE_SIZE, scale_spans
from handgroove.hands.rules import Weights, pair_cost, triple_cost

SPANS = scale_spans(TABLE_SIZE)
C, D, E, F, G = 60, 62, 64, 65, 67
C_SHARP, D_SHARP, F_SHARP = 61, 63, 66

PARNCUTT = Weights()
JACOBS = Weights(large_points=1.0, weak=(4,), three_four_five=0.0)


def pair(first: tuple[int, int], second: tuple[int, int], weights: Weights = PARNCUTT) -> float:
    """Return the cost of two notes in a row."""
    return pair_cost(weights, SPANS[first[0], second[0]], first, second)


def triple(*notes: tuple[int, int]) -> float:
    """Return what three notes in a row cost together."""
    first, middle, last = notes
    return triple_cost(PARNCUTT, SPANS[first[0], last[0]], first, middle, last)


@pytest.mark.parametrize(
    ("first", "second", "cost"),
    [
        ((1, C), (2, D), 0),  # relaxed
        ((2, C), (3, E), 2 * (4 - 3) + 2 * (4 - 2)),  # stretch over 3; large span over 2, two points each
        ((1, C), (5, E), 3 + 1),  # 4 semitones, 3 under relaxed; 5 is weak
        ((3, C), (4, D), 1 + 1),  # three to four, and 4 is weak
        ((1, C), (5, C + 14), 2 + 4 + 1),  # a ninth: stretch 1, four over relaxed, weak
    ],
)
def test_pairs(first: tuple[int, int], second: tuple[int, int], cost: float) -> None:
    """Spans, weak fingers and three-to-four add up as the rules say."""
    assert pair(first, second) == cost


def test_thumb_under_on_a_level() -> None:
    """A thumb passing under on white keys costs one beside its small span."""
    assert pair((3, E), (1, F)) == 1 + (3 + 1)


def test_thumb_under_to_a_black_key() -> None:
    """A thumb that passes from a finger's white key to a black one costs three."""
    assert pair((3, F), (1, F_SHARP)) - pair((3, E), (1, F)) == 2


def test_finger_over_to_a_black_key_is_free() -> None:
    """A finger that passes over the thumb to a black key costs no pass."""
    assert pair((1, C), (3, C - 2)) == 3 + 2  # small span only: two below, relaxed is three above


def test_four_on_black() -> None:
    """Three on white beside four on black costs one more than both on white."""
    assert pair((3, C), (4, C_SHARP)) == pair((3, E), (4, F)) + 1


def test_same_key_same_finger_costs_nothing_but_weakness() -> None:
    """A repeated note has no span."""
    assert pair((2, C), (2, C)) == 0
    assert pair((5, C), (5, C)) == 1


def test_change_of_position() -> None:
    """A half change costs one and its size; a full one, over the thumb and past the practical, two and its size."""
    assert triple((1, C), (2, D), (1, F)) == 1 + 5
    assert triple((2, C), (1, F), (2, G + 5)) == 2 + 12


def test_three_four_five() -> None:
    """Three, four and five in a row, in any order, cost one."""
    assert triple((3, C), (5, F), (4, D)) == 1
    assert triple((3, C), (2, D), (4, D)) == 0


def test_jacobs() -> None:
    """Jacobs charges large spans alike, finds only the fourth finger weak, and drops three-four-five."""
    assert pair((2, C), (3, C + 3), JACOBS) == 1
    assert pair((4, C), (5, D), JACOBS) == 0
    assert triple_cost(JACOBS, SPANS[3, 4], (3, C), (5, F), (4, D)) == 0
