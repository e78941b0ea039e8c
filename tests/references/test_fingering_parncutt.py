"""The span table and the ergonomic rules against the paper's own tables.

Source: R. Parncutt, J. Sloboda, E. Clarke, M. Raekallio, P. Desain (1997), "An ergonomic model of keyboard fingering
for melodic fragments", Music Perception 14(4):341-382: Table 1 and Tables A to G (fragments of Czerny's op. 821; the
sums of rules 2 and 3 of the ten fingerings that the paper lists for each). The paper's totals are not used: its rules
4 and 5 can't be reproduced from its wording.
"""

from __future__ import annotations

from itertools import combinations

import pytest

from handgroove.hands.hand_model import SPANS, TABLE_SIZE, Span, scale_spans
from handgroove.hands.player import HandSize
from handgroove.hands.rules import Weights, ordered_span, span_cost

TABLE_1 = """
1-2 -5 -3 1 5 8 10
1-3 -4 -2 3 7 10 12
1-4 -3 -1 5 9 12 14
1-5 -1 1 7 10 13 15
2-3 1 1 1 2 3 5
2-4 1 1 3 4 5 7
2-5 2 2 5 6 8 10
3-4 1 1 1 2 2 4
3-5 1 1 3 4 5 7
4-5 1 1 1 2 3 5
"""

# name, pitches, the last note's finger (0: the fragment goes round), fingerings and their sums
FRAGMENTS = [
    (
        "A",
        "76 79 77 79 76 77 74 76",
        3,
        "24342313:1 13231213:1 14342313:3 35453423:0 13231323:4 13231423:4 13242313:3 12142313:4 13232313:3 24342323:2",
    ),
    ("B", "76 73 74 78", 0, "3124:0 3214:5 4235:0 4215:5 1235:9 2124:2 3125:4 3215:9 3235:4 4125:4"),
    (
        "C",
        "64 61 64 69 64",
        1,
        "21241:2 21251:2 31241:2 31251:2 32351:8 42351:6 31351:4 42151:8 21351:4 32151:10",
    ),
    (
        "D",
        "61 65 63 66 65 68 66",
        2,
        "1323132:4 1324132:4 2412132:3 1212132:0 1213242:2 1323142:8 1323242:4 2413242:5 2435132:6 1213232:2",
    ),
    (
        "E",
        "81 92 93 88 89 85 86 80",
        2,
        "14523152:8 14523142:10 14512152:10 14513152:12 14515342:14 14515352:14 14524152:13 13412152:10 "
        "13523152:14 14515452:14",
    ),
    (
        "F",
        "55 58 62 58 67 62",
        1,
        "124251:8 124151:3 123151:6 124141:1 123141:4 124131:3 135141:3 135251:10 125251:12 135131:5",
    ),
    (
        "G",
        "90 91 90 88 90 88 86",
        1,
        "3432321:0 2321321:1 3431321:2 2432321:4 4542321:2 2132321:6 2321421:5 2321431:4 3132321:8 3432421:4",
    ),
]


def published() -> list[tuple[str, list[int], list[int], int]]:
    """Return each fingering of the tables: fragment, pitches, fingers (the first again where it goes round), sum."""
    rows = []
    for name, pitches_text, _, listed in FRAGMENTS:
        for item in listed.split():
            fingers_text, sum_text = item.split(":")
            pitches, fingers = [int(p) for p in pitches_text.split()], [int(f) for f in fingers_text]
            if name == "B":
                pitches, fingers = [*pitches, pitches[0]], [*fingers, fingers[0]]
            rows.append((f"{name} {fingers_text}", pitches, fingers, int(sum_text)))
    return rows


@pytest.mark.parametrize("row", TABLE_1.split("\n")[1:-1])
def test_table_1_entry_by_entry(row: str) -> None:
    """A hand of the table's size has the table's spans, and the reverse pair has them turned round."""
    pair_text, *numbers = row.split()
    low, high = int(pair_text[0]), int(pair_text[2])
    span = Span(*map(int, numbers))
    assert scale_spans(TABLE_SIZE)[low, high] == span == SPANS[low, high]
    assert scale_spans(TABLE_SIZE)[high, low] == tuple(-n for n in reversed(span))


@pytest.mark.parametrize("size", [HandSize(12, 10), HandSize(14, 12), HandSize(15, 13), HandSize(17, 15)])
def test_scaled_hands_keep_the_order_of_spans(size: HandSize) -> None:
    """At every hand size a relaxed span lies within a comfortable one, and that within a practical one."""
    spans = scale_spans(size)
    assert spans[1, 5].max_prac == size.most
    assert spans[1, 5].max_comf == size.comfortable
    for pair in combinations(range(1, 6), 2):
        span = spans[pair]
        assert list(span) == sorted(span)
        assert span.max_prac >= pair[1] - pair[0]


def test_there_are_seventy_published_fingerings() -> None:
    """The seven fragments have ten fingerings each."""
    assert len(published()) == 70


@pytest.mark.parametrize(("name", "pitches", "fingers", "total"), published())
def test_small_and_large_spans_add_up(name: str, pitches: list[int], fingers: list[int], total: int) -> None:
    """Rules 2 and 3 give the sum that the paper prints."""
    spans = scale_spans(TABLE_SIZE)
    cost = 0.0
    for index in range(len(pitches) - 1):
        first, second = fingers[index], fingers[index + 1]
        if first == second:
            continue
        span, away = ordered_span(spans[first, second], first, second, pitches[index + 1] - pitches[index])
        cost += span_cost(Weights(), span._replace(min_comf=-99, max_comf=99), away, 1 in (first, second))
    assert cost == total, name
