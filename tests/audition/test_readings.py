"""Readings of the same bars: each differs from the first in one thing, and audibly."""

from __future__ import annotations

from pathlib import Path

import pytest

from handgroove.audition.readings import Readings, difference, make_readings
from handgroove.audition.ways import WhatToTry, suitable_patterns
from handgroove.data import data_folder
from handgroove.desk.desk import Desk
from handgroove.errors import HandgrooveError
from handgroove.groove.hits import Groove
from handgroove.hands.ease import Ease
from handgroove.harmony.chart import parse_chart
from handgroove.harmony.voice.voicing_settings import Idiom
from handgroove.patterns import read_pattern
from handgroove.picks import Picked
from tests.output.sound.parts import make_part, note

CHART = "| Am7 | Fmaj7 | Dm7 | G7 |"
SPAN = (0, 4 * 3840)


def straight() -> Groove:
    """Make four bars of straight eighths."""
    return read_pattern("straight eighths").groove(4)


def make(wishes: WhatToTry) -> Readings:
    """Make readings of four bars of straight eighths."""
    return make_readings(Desk(straight(), parse_chart(CHART)), wishes, SPAN)


def test_without_wishes_patterns_and_voicings_are_tried() -> None:
    """There are at least three readings, the first as it is, and all differ audibly from each other."""
    readings = make(WhatToTry()).readings
    assert readings[0].name.startswith("as it is")
    assert 4 <= len(readings) <= 7
    for index, reading in enumerate(readings):
        for other in readings[:index]:
            least = 0 if "level" in reading.choice or "level" in other.choice else 0.1
            assert difference(reading.part, other.part, SPAN) > least


def test_each_reading_differs_in_one_thing() -> None:
    """A level or a voicing keeps the pattern, and a pattern's hands bring no other level or voicing."""
    for reading in make(WhatToTry()).readings[1:]:
        others = len(reading.choice) - 1
        assert others == (1 if reading.choice["pattern"] == "straight-eighths" else 0)


def test_what_is_asked_for_is_made() -> None:
    """Named levels, patterns and voicings are what is tried, and nothing else."""
    made = make(WhatToTry([Ease.EASIER], ["bossa nova"], [Idiom.QUARTAL], []))
    assert [dict(reading.choice) for reading in made.readings] == [
        {"pattern": "straight-eighths"},
        {"pattern": "straight-eighths", "level": "easier"},
        {"pattern": "bossa-nova"},
        {"pattern": "straight-eighths", "voicing": "quartal"},
    ]


def with_fill() -> Groove:
    """Make four bars of straight eighths whose last bar is the pattern's first fill."""
    pattern = read_pattern("straight eighths")
    return pattern.groove(5, fills={4: pattern.fill().name})


def test_candidates_of_a_figure_are_heard_against_each_other() -> None:
    """A fill's other candidates are tried, the choice names the bar and the candidate, and only that bar differs."""
    made = make_readings(Desk(with_fill(), parse_chart(CHART)), WhatToTry([], [], [], None), SPAN)
    assert [reading.choice.get("bar 4") for reading in made.readings] == [None, "2", "3"]
    before = (0, 3 * 3840)
    for reading in made.readings[1:]:
        assert difference(made.readings[0].part, reading.part, before) == 0
        assert difference(made.readings[0].part, reading.part, SPAN) > 0


def test_a_figure_that_is_not_there_is_refused() -> None:
    """Asking for a bar without a figure, or for a candidate that there is not, says what there is."""
    job = Desk(with_fill(), parse_chart(CHART))
    with pytest.raises(HandgrooveError, match=r"got 2:1; there are 4:1 to 4:\d"):
        make_readings(job, WhatToTry([], [], [], [(2, 1), (4, 99)]), SPAN)
    with pytest.raises(HandgrooveError, match="no figure begins in these bars"):
        make_readings(Desk(straight(), parse_chart(CHART)), WhatToTry([], [], [], [(2, 1)]), SPAN)


def test_what_was_kept_is_where_it_begins() -> None:
    """After a reading was kept, the next audition's first reading is that one."""
    kept = Picked(read_pattern("bossa nova"), Ease.EASIER, {}, ())
    job = Desk(straight(), parse_chart(CHART))
    first = make_readings(job, WhatToTry([], [], [], []), SPAN, kept).readings[0]
    assert first.choice == {"pattern": "bossa-nova", "level": "easier"}
    assert first.part.pattern_name == "bossa-nova"


def test_twins_are_left_out_and_told() -> None:
    """A way that gives the same notes as another is left out, and a message says so."""
    made = make(WhatToTry([], ["straight eighths"], [], []))
    assert len(made.readings) == 1
    assert "the same notes" in made.messages[0]


def test_more_than_nine_are_told() -> None:
    """A page has nine keys: what is beyond them is left out, and told."""
    names = [
        "disco",
        "bossa nova",
        "samba",
        "two beat",
        "tresillo",
        "breakbeat",
        "train beat",
        "half time",
        "cha cha",
    ]
    made = make(WhatToTry([Ease.EASIER, Ease.HARDER], names, list(Idiom)[1:], []))
    assert len(made.readings) == 9
    assert any("a page has 9 keys" in message for message in made.messages)


def test_an_unknown_pattern_is_refused() -> None:
    """A pattern that is not there is refused in the usual words."""
    with pytest.raises(HandgrooveError, match="expected the name of a pattern"):
        make(WhatToTry([], ["no such thing"], [], []))


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


def test_suitable_patterns_take_the_groove_s_drums() -> None:
    """Hands that have nothing for the hats are not proposed for a groove that is mostly hats."""
    rock = read_pattern("straight-eighths")
    names = [pattern.name for pattern in suitable_patterns(rock.groove(4), rock)]
    assert names
    assert "bossa-nova" not in names


def test_the_player_s_own_pattern_is_found_again(tmp_path: Path) -> None:
    """The choice names a pattern file by its path, so that it can be read again."""
    own = tmp_path / "mine.yaml"
    own.write_text((data_folder("patterns") / "bossa-nova.yaml").read_text())
    made = make(WhatToTry([], [str(own)], [], []))
    assert read_pattern(made.readings[1].choice["pattern"]).title == read_pattern("bossa nova").title
