"""Measures of figures: that they can hold, and that they can fail."""

from __future__ import annotations

from dataclasses import replace

import pytest

from handgroove.desk.desk import Desk
from handgroove.harmony.chart import parse_chart
from tests.groove.know.test_knowledge import CRASH, ROCK, TOMS, play
from tests.tools.music import figures
from tests.tools.music.heard import Heard

C, G7 = frozenset({0, 4, 7}), frozenset({7, 11, 2, 5})
HEARD = Heard(
    "made",
    Desk(
        play(ROCK, ROCK, ROCK, TOMS, CRASH, ROCK, ROCK, ROCK),
        parse_chart("| C | F | C | G7 | C | F | C | C |"),
    ),
)


def test_a_good_figure_holds_every_measure() -> None:
    """The fill down the toms trills nowhere, leans on chord tones, goes down, lands by step, and is told truly."""
    assert figures.count_trills(HEARD).found == 0
    accents = figures.count_accents(HEARD)
    assert accents.found == accents.of > 3
    assert (figures.count_contours(HEARD).found, figures.count_joins(HEARD).found) == (1, 1)
    assert (figures.count_untruths(HEARD).found, figures.count_untruths(HEARD).of) == (0, 1)


@pytest.mark.parametrize(
    ("line", "longest"), [("abab", 4), ("abcb", 3), ("abcd", 2), ("aaaa", 2), ("cababab", 6)]
)
def test_turns_are_counted(line: str, longest: int) -> None:
    """To and fro counts, the same note again does not."""
    assert figures.longest_turn([ord(letter) for letter in line]) == longest


def test_bad_parts_fail(monkeypatch: pytest.MonkeyPatch) -> None:
    """A trill up to an accent off the chord, landed on from afar, fails every measure."""
    trill = (66, 68) * 4
    bad = figures.Sung(4, trill, trill, (50, 40, 30, 20, 10, 9, 8, 7), ((66, G7),), 40, False, "")
    monkeypatch.setattr(figures, "find_sung", lambda _: iter([bad]))
    assert figures.count_trills(HEARD).found == 1
    assert figures.count_accents(HEARD).found == 0
    assert figures.count_contours(HEARD).found == 0
    assert figures.count_joins(HEARD).found == 0


@pytest.mark.parametrize(
    "told",
    [
        "moves by step throughout; its widest leap",
        "moves by step 3 of 3 times; its widest leap",
        "every accent is a chord tone of C; its widest leap",
        "2 of 2 accents are chord tones; its widest leap",
        "a figure",
        " falls to its landing; its widest leap",
        "goes down as the drums do; its widest leap",
    ],
)
def test_each_untruth_is_found(told: str) -> None:
    """Each kind of claim is held against the notes, and one that they contradict is counted."""
    sung = figures.Sung(4, (60, 66, 67), (60, 66, 67), (10, 20, 30), ((60, C), (66, C)), 72, False, told)
    assert figures.find_untruths(sung)
    true = replace(sung, told="moves by step 1 of 3 times; 1 of 2 accents; goes up as; its widest leap")
    assert figures.find_untruths(true) == []


def test_a_landing_that_does_not_sound_is_untrue() -> None:
    """A landing is told only where something lands."""
    sung = figures.Sung(
        4, (60, 62), (60, 62), (10, 20), (), None, False, "D4 falls by a tone to C4, the root of C"
    )
    assert figures.find_untruths(sung) == ["a landing"]
