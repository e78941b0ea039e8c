"""What fingerings cost between and within slices, remembered once it's been worked out.

A slice is what one hand strikes in one gesture. Between two single notes the ergonomic rules speak; where chords are
concerned the hand's position does: where its thumb would rest if every finger lay at ease. Chords are judged by
their spans and by where the thumb and little finger fall.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations, pairwise
from typing import NamedTuple

from handgroove.hands.hand_model import BLACK, HandModel, make_model
from handgroove.hands.player import HandSize, Speeds
from handgroove.hands.rules import Weights, ordered_span, pair_cost, span_cost, triple_cost

# The rules' weights, chosen by search so that the handbook's scales and arpeggios come out (see tests/references).
TUNED = Weights(
    stretch=1.0,
    small_span=0.5,
    large_span=0.75,
    position_count=0.1,
    position_size=0.5,
    weak_finger=0.75,
    three_four_five=0.75,
    three_to_four=0.1,
    four_on_black=0.1,
    thumb_on_black=4.0,
    five_on_black=4.0,
    thumb_passing=3.0,
    large_points=1.0,
    weak=(4,),
    second_over_thumb=1.0,
)

# Semitones from the thumb to each finger at ease: the middle of Table 1's relaxed spans.
AT_EASE = (0.0, 0.0, 3.0, 5.0, 7.0, 8.5)
HOP = 12.0  # one finger goes on to another key: design choice, dearer than any change of position nearby
HOP_PER_SEMITONE = 0.5
CHANGE_ON_KEY = 2.0  # another finger on the same key, where there is time for the same: design choice
OUT_OF_REACH = 6.0  # the hand has to move before it strikes: design choice
MOST = 24.0  # a jump costs no more than this however far, so that one jump can't outweigh a passage
CHORD_BLACK = 1.0  # a thumb on a black key costs less in a chord, where the whole hand lies farther in
SHAPES = 5  # fingerings kept of a chord


class Shape(NamedTuple):
    """One way to finger a slice: its *fingers* (low to high), *cost* and where the hand lies above its lowest key."""

    cost: float
    fingers: tuple[int, ...]
    position: float


@lru_cache(maxsize=4096)
def _shapes(
    costs: Costs, pitch_class: int, intervals: tuple[int, ...], asked: tuple[int, ...], most: int
) -> tuple[Shape, ...]:
    """Return the best *most* fingerings of a chord on *pitch_class* with *intervals* above its lowest key."""
    found = []
    count = len(intervals)
    for fingers in combinations(range(1, 6), count):
        if any(want and want != finger for want, finger in zip(asked, fingers, strict=True)):
            continue
        cost = costs.chord_cost(pitch_class, intervals, fingers)
        if cost >= 0:
            found.append(Shape(cost, fingers, costs.position(intervals, fingers)))
    if asked and all(asked) and all(shape.fingers != asked for shape in found):
        found.append(Shape(0.0, asked, costs.position(intervals, asked)))  # fixed by whoever asks
    found.sort()
    return tuple(found[:most])


class Costs:
    """The costs of one hand: *model* and *weights*, and what has been worked out so far."""

    def __init__(self, model: HandModel, weights: Weights) -> None:
        self.model, self.weights = model, weights
        self._pairs: dict[tuple[int, int, int, int], float] = {}
        self._ways: dict[tuple[int, int, int, int, int, int], float] = {}
        self._triples: dict[tuple[int, int, int, int, int], float] = {}

    def shapes(
        self, pitches: tuple[int, ...], asked: tuple[int, ...], most: int = SHAPES
    ) -> tuple[Shape, ...]:
        """Return fingerings of *pitches* (low to high, right-hand view), best first, with what is *asked* (0: any)."""
        low = pitches[0]
        return _shapes(self, low % 12, tuple([pitch - low for pitch in pitches]), asked, most)

    def position(self, intervals: tuple[int, ...], fingers: tuple[int, ...]) -> float:
        """Return where the thumb would rest, in semitones above the lowest key."""
        return sum(i - AT_EASE[f] for i, f in zip(intervals, fingers, strict=True)) / len(fingers)

    def chord_cost(self, pitch_class: int, intervals: tuple[int, ...], fingers: tuple[int, ...]) -> float:
        """Return what a chord's fingering costs, or -1 where the fingers can't span it."""
        cost = 0.0
        weights = self.weights
        pairs = list(pairwise(range(len(fingers))))
        if len(fingers) > 2:
            pairs.append((0, len(fingers) - 1))
        for low, high in pairs:
            first, second = fingers[low], fingers[high]
            span = self.model.spans[first, second]
            away = intervals[high] - intervals[low]
            if away > span.max_prac:
                return -1.0
            plain, away = ordered_span(span, first, second, away)
            cost += span_cost(weights, plain, away, first == 1)
        black = [BLACK[pitch_class + interval] for interval in intervals]
        if not all(black) and len(fingers) > 1:
            cost += sum(CHORD_BLACK for b, finger in zip(black, fingers, strict=True) if b and finger == 1)
        return cost

    def pair(self, first: tuple[int, int], second: tuple[int, int]) -> float:
        """Return what a single note costs after another, each (finger, pitch)."""
        (finger, pitch), (to_finger, to_pitch) = first, second
        key = (finger, to_finger, pitch % 12, to_pitch - pitch)
        cost = self._pairs.get(key)
        if cost is None:
            cost = self._pairs[key] = self._work_out_pair(first, second)
        return cost

    def way(
        self, before: tuple[int, int] | None, finger: int, pitch: int, to_finger: int, to_pitch: int
    ) -> float:
        """Return what a single note costs after another, and *before* that one (finger, pitch) if that was single."""
        if before is None:
            return self.pair((finger, pitch), (to_finger, to_pitch))
        key = (before[0], pitch - before[1], finger, to_pitch - pitch, to_finger, to_pitch % 12)
        cost = self._ways.get(key)
        if cost is None:
            here, there = (finger, pitch), (to_finger, to_pitch)
            cost = self._ways[key] = self.pair(here, there) + self.triple(before, here, there)
        return cost

    def start(self, finger: int, pitch: int) -> float:
        """Return what it costs to begin on a single note."""
        cost = self.weights.weak_finger if finger in self.weights.weak else 0.0
        return cost + (self.weights.thumb_on_black if finger == 1 and BLACK[pitch] else 0.0)

    def _work_out_pair(self, first: tuple[int, int], second: tuple[int, int]) -> float:
        (finger, pitch), (to_finger, to_pitch) = first, second
        weights, span, away = self.weights, self.model.spans[finger, to_finger], to_pitch - pitch
        cost = pair_cost(weights, span, first, second)
        if finger == to_finger and away:
            cost += HOP + HOP_PER_SEMITONE * abs(away)
        elif finger != to_finger and not away:
            cost += CHANGE_ON_KEY
        elif not span.min_prac <= away <= span.max_prac:
            cost += OUT_OF_REACH
        return min(cost, MOST) + self._black(finger, pitch, to_finger, to_pitch)

    def _black(self, finger: int, pitch: int, to_finger: int, to_pitch: int) -> float:
        """Return rules 10 and 11 as far as they lie between two neighbours."""
        weights, cost = self.weights, 0.0
        points = {1: weights.thumb_on_black, 5: weights.five_on_black}
        if BLACK[pitch] and not BLACK[to_pitch]:
            cost += 2 * points.get(finger, 0.0)
        if BLACK[to_pitch]:
            cost += weights.thumb_on_black if to_finger == 1 else 0.0
            cost += 0.0 if BLACK[pitch] else 2 * points.get(to_finger, 0.0)
        return cost

    def triple(self, first: tuple[int, int], middle: tuple[int, int], last: tuple[int, int]) -> float:
        """Return what three single notes in a row cost beyond their pairs."""
        key = (first[0], middle[0], last[0], middle[1] - first[1], last[1] - middle[1])
        cost = self._triples.get(key)
        if cost is None:
            span = self.model.spans[first[0], last[0]]
            if first[0] == last[0] and first[1] != last[1]:
                cost = min(abs(first[1] - last[1]) * self.weights.position_size, MOST)
                cost += self.weights.position_count
            else:
                cost = min(triple_cost(self.weights, span, first, middle, last), MOST)
            self._triples[key] = cost
        return cost


@lru_cache(maxsize=64)
def make_costs(size: HandSize, speeds: Speeds, weights: Weights = TUNED) -> Costs:
    """Return the costs of a hand of *size* with *speeds*; asked again, the same ones with all they remember."""
    return Costs(make_model(size, speeds), weights)
