"""The measures of the five steps can hold and can fail."""

from __future__ import annotations

from dataclasses import replace

import pytest

from handgroove.desk.desk import Desk
from handgroove.harmony.chart import parse_chart
from handgroove.part import Part
from handgroove.patterns import read_pattern
from tests.tools.music import steps
from tests.tools.music.heard import Heard


@pytest.fixture
def heard() -> Heard:
    """Return four bars of sixteenth funk."""
    return Heard("funk", Desk(read_pattern("sixteenth funk").groove(4), parse_chart("| Am7 | D9 |")))


def spoil(heard: Heard, step: int, without: set[int]) -> Heard:
    """Return *heard* with the notes of some hits taken out of one step's part."""
    parts: list[Part] = list(heard.steps)
    notes = tuple(note for note in parts[step].notes if without.isdisjoint(note.hits))
    parts[step] = replace(parts[step], notes=notes)
    other = Heard(heard.name, heard.desk)
    other.__dict__["steps"] = tuple(parts)
    return other


def test_a_stroke_lost_one_step_up_is_counted(heard: Heard) -> None:
    """Nothing is lost as it comes; a stroke taken out of the fourth step is, once."""
    assert steps.count_lost_above(heard).found == 0
    backbeat = heard.steps[2].notes[0].hits[0]
    count = steps.count_lost_above(spoil(heard, steps.WHOLE, {backbeat}))
    assert count.found == 1
    assert "cell" in count.worst


def test_a_lost_backbeat_is_counted(heard: Heard) -> None:
    """All kicks on 1 and backbeats sound at the first step, until one is taken out."""
    count = steps.count_carriers(heard, 0)
    assert count.found == count.of >= 8
    carrier = min(steps.find_carriers(heard.part))
    assert steps.count_carriers(spoil(heard, 0, {carrier}), 0).found == count.found - 1


def test_shares_and_strokes_rise_from_step_to_step(heard: Heard) -> None:
    """Ghosts are for the fourth step; strokes are more from first to last; harder adds notes."""
    assert [steps.count_kind(heard, step, "ghost").found > 0 for step in range(5)] == [False] * 3 + [True] * 2
    strokes = [steps.count_strokes(heard, step).found for step in range(5)]
    assert strokes == sorted(strokes)
    assert strokes[0] < strokes[-1]
    assert steps.count_added(heard).found > 0
