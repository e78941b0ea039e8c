"""Targets: fingerings to try, and what it costs to come to them."""

from __future__ import annotations

from handgroove.hands.finger_costs import make_costs
from handgroove.hands.player import Player
from handgroove.hands.targets import CHANGED_SHAPES, POSITION_MOST, find_target
from handgroove.strike import Hand

COSTS = make_costs(Player().size(Hand.RIGHT), Player().speeds)


def test_fingers_asked_for_are_kept_to_or_paid_for() -> None:
    """Kept to, only they are tried; else others come after them, each dearer by what refingering costs."""
    kept = find_target(COSTS, (60,), (2,), 0.0, False)
    paid = find_target(COSTS, (60,), (2,), 9.0, False)
    assert [shape.fingers for shape in kept.shapes] == [(2,)]
    assert {shape.fingers for shape in paid.shapes} == {(1,), (2,), (3,), (4,), (5,)}
    assert all(shape.cost >= 9.0 for shape in paid.shapes[1:])
    assert len(find_target(COSTS, (60,), (2,), 9.0, True).shapes) == CHANGED_SHAPES


def test_moves_cost_by_position_around_chords_and_by_the_rules_between_notes() -> None:
    """A chord where the hand lies already costs nothing; no shift costs more than the most; notes go by the rules."""
    chord = find_target(COSTS, (60, 64, 67), (1, 3, 5), 0.0, False)
    here = 60 + chord.shapes[0].position
    assert chord.moves_from(here) == [0.0]
    assert chord.moves_from(here + 60.0) == [POSITION_MOST]
    note = find_target(COSTS, (62,), (2,), 0.0, False)
    assert note.moves_from((1, 60, None)) == [COSTS.way(None, 1, 60, 2, 62)]


def test_nothing_to_play_costs_nothing() -> None:
    """From any posture."""
    assert find_target(COSTS, (), (), 0.0, False).moves_from((1, 60, None)) == [0.0]
