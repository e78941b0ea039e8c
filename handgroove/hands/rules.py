"""What a fingering costs: the twelve rules of the ergonomic model, each with its own weight.

Rules: R. Parncutt, J. Sloboda, E. Clarke, M. Raekallio, P. Desain (1997), Music Perception 14(4):341-382; all
weights 1. Refinements: J. P. Jacobs (2001), Music Perception 18(4):505-511: large spans cost the same for all finger
pairs, only the fourth finger is weak, three-four-five is dropped. *second_over_thumb* is ours, from common practice:
scales pass the third or fourth finger over the thumb, not the second.

Pitches are in the right hand's view (a left hand is mirrored before it comes here). Costs have no unit.
"""

from __future__ import annotations

from dataclasses import dataclass

from handgroove.hands.hand_model import BLACK, Span


@dataclass(frozen=True, slots=True)
class Weights:
    """How much each rule counts. *thumb_large* and *thumb_small* are points a semitone for pairs with the thumb."""

    stretch: float = 1.0
    small_span: float = 1.0
    large_span: float = 1.0
    position_count: float = 1.0
    position_size: float = 1.0
    weak_finger: float = 1.0
    three_four_five: float = 1.0
    three_to_four: float = 1.0
    four_on_black: float = 1.0
    thumb_on_black: float = 1.0
    five_on_black: float = 1.0
    thumb_passing: float = 1.0
    large_points: float = 2.0
    weak: tuple[int, ...] = (4, 5)
    second_over_thumb: float = 0.0


def span_cost(weights: Weights, span: Span, away: int, with_thumb: bool) -> float:
    """Return the cost of rules 1 to 3 (stretch, small span, large span) for two keys *away* semitones apart."""
    cost = 0.0
    if away > span.max_comf:
        cost += weights.stretch * 2 * (away - span.max_comf)
    elif away < span.min_comf:
        cost += weights.stretch * 2 * (span.min_comf - away)
    if away > span.max_rel:
        points = 1.0 if with_thumb else weights.large_points
        cost += weights.large_span * points * (away - span.max_rel)
    elif away < span.min_rel:
        cost += weights.small_span * (1 if with_thumb else 2) * (span.min_rel - away)
    return cost


def ordered_span(span: Span, first: int, second: int, away: int) -> tuple[Span, int]:
    """Return *span* and *away* with the lower finger first, as rules 2 and 3 are written."""
    return (span, away) if first <= second else (span.reversed, -away)


def pair_cost(weights: Weights, span: Span, first: tuple[int, int], second: tuple[int, int]) -> float:
    """Return what the second of two notes, each (finger, pitch), costs after the first: rules 1, 2, 3, 6, 8, 9, 12.

    *span* is the pair's, in that order. A finger that goes on to another key has no span: what its jump costs is
    counted as a change of position.
    """
    (finger, pitch), (to_finger, to_pitch) = first, second
    cost = weights.weak_finger if to_finger in weights.weak else 0.0
    if finger != to_finger:
        plain, away = ordered_span(span, finger, to_finger, to_pitch - pitch)
        cost += span_cost(weights, plain, away, 1 in (finger, to_finger))
    if finger == 3 and to_finger == 4:
        cost += weights.three_to_four
    if {finger, to_finger} == {3, 4}:
        on_three, on_four = (pitch, to_pitch) if finger == 3 else (to_pitch, pitch)
        if BLACK[on_four] and not BLACK[on_three]:
            cost += weights.four_on_black
    return cost + weights.thumb_passing * passing_points(weights, first, second)


def passing_points(weights: Weights, first: tuple[int, int], second: tuple[int, int]) -> float:
    """Return rule 12's points where the thumb passes under or a finger over it: 1 on a level, 3 up to a black thumb."""
    (finger, pitch), (to_finger, to_pitch) = first, second
    if pitch > to_pitch:
        (finger, pitch), (to_finger, to_pitch) = second, first
    # now from the lower key to the higher one: a pass is a longer finger below the thumb
    if to_finger != 1 or finger == 1 or pitch == to_pitch:
        return 0.0
    level = BLACK[pitch] == BLACK[to_pitch]
    points = 1.0 if level else 3.0 if BLACK[to_pitch] else 0.0
    return points + (weights.second_over_thumb if finger == 2 else 0.0)


def triple_cost(
    weights: Weights, span: Span, first: tuple[int, int], middle: tuple[int, int], last: tuple[int, int]
) -> float:
    """Return what three notes in a row cost together: rules 4 and 5 (change of position) and 7 (three, four, five).

    *span* is that of the outer two, in order.
    """
    (finger, pitch), (mid_finger, mid_pitch), (to_finger, to_pitch) = first, middle, last
    away = to_pitch - pitch
    cost = 0.0
    over = (
        away - span.max_comf if away > span.max_comf else span.min_comf - away if away < span.min_comf else 0
    )
    if over > 0:
        between = min(pitch, to_pitch) < mid_pitch < max(pitch, to_pitch)
        beyond = away > span.max_prac or away < span.min_prac
        full = mid_finger == 1 and between and beyond
        cost += weights.position_count * (2 if full else 1) + weights.position_size * over
    if weights.three_four_five and {finger, mid_finger, to_finger} == {3, 4, 5}:
        cost += weights.three_four_five
    return cost
