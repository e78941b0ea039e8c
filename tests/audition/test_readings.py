"""Readings of the same bars: each differs from the first in one thing, and audibly."""

from __future__ import annotations

from pathlib import Path

import pytest

from handgroove.audition.readings import Readings, Ways, difference, make_readings, suitable_patterns
from handgroove.data import data_folder
from handgroove.errors import HandgrooveError
from handgroove.groove.hits import Groove
from handgroove.hands.levels import Level
from handgroove.hands.player import Player
from handgroove.harmony.chart import parse_chart
from handgroove.harmony.settings import Idiom
from handgroove.patterns import read_pattern
from tests.output.sound.parts import make_part, note

CHART = "| Am7 | Fmaj7 | Dm7 | G7 |"
SPAN = (0, 4 * 3840)


def straight() -> Groove:
    """Make four bars of straight eighths."""
    return read_pattern("straight eighths").groove(4)


def make(ways: Ways) -> Readings:
    """Make readings of four bars of straight eighths."""
    return make_readings(straight(), parse_chart(CHART), None, Player(), ways, span=SPAN)


def test_without_wishes_patterns_and_voicings_are_tried() -> None:
    """There are at least three readings, the first as it is, and all differ audibly from each other."""
    readings = make(Ways()).readings
    assert readings[0].name.startswith("as it is")
    assert 4 <= len(readings) <= 7
    for index, reading in enumerate(readings):
        for other in readings[:index]:
            assert difference(reading.part, other.part, SPAN) > 0.1


def test_each_reading_differs_in_one_thing() -> None:
    """A level or a voicing keeps the pattern, and a pattern's hands bring no other level or voicing."""
    for reading in make(Ways()).readings[1:]:
        others = len(reading.choice) - 1
        assert others == (1 if reading.choice["pattern"] == "straight-eighths" else 0)


def test_what_is_asked_for_is_made() -> None:
    """Named levels, patterns and voicings are what is tried, and nothing else."""
    made = make(Ways([Level.EASIER], ["bossa nova"], [Idiom.QUARTAL]))
    assert [dict(reading.choice) for reading in made.readings] == [
        {"pattern": "straight-eighths"},
        {"pattern": "straight-eighths", "level": "easier"},
        {"pattern": "bossa-nova"},
        {"pattern": "straight-eighths", "voicing": "quartal"},
    ]


def test_twins_are_left_out_and_told() -> None:
    """A way that gives the same notes as another is left out, and a message says so."""
    made = make(Ways([], ["straight eighths"], []))
    assert len(made.readings) == 1
    assert "the same notes" in made.messages[0]


def test_an_unknown_pattern_is_refused() -> None:
    """A pattern that is not there is refused in the usual words."""
    with pytest.raises(HandgrooveError, match="expected the name of a pattern"):
        make(Ways([], ["no such thing"], []))


def test_suitable_patterns_share_metre_and_feel() -> None:
    """For swung 4/4 only swung 4/4 patterns are suitable, the nearest in tempo first."""
    swing = read_pattern("swing ride")
    found = suitable_patterns(swing.groove(4), swing)
    assert found
    assert all(p.metre == swing.metre and p.feel.swing_ratio >= 1.2 and p.name != swing.name for p in found)


def test_difference_is_a_share() -> None:
    """A part does not differ from itself; with one of its four notes moved a quarter of it differs."""
    first = make_part(*(note(beat, 1, 60) for beat in range(4)))
    second = make_part(*(note(beat, 1, 60) for beat in range(3)), note(3, 1, 62))
    assert difference(first, first, SPAN) == 0
    assert difference(first, second, SPAN) == 0.25


def test_the_player_s_own_pattern_is_found_again(tmp_path: Path) -> None:
    """The choice names a pattern file by its path, so that it can be read again."""
    own = tmp_path / "mine.yaml"
    own.write_text((data_folder("patterns") / "bossa-nova.yaml").read_text())
    made = make(Ways([], [str(own)], []))
    assert read_pattern(made.readings[1].choice["pattern"]).title == read_pattern("bossa nova").title
