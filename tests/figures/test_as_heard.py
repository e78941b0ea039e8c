"""What is told of figures: the notes that sound."""

from __future__ import annotations

from dataclasses import replace

from handgroove.desk.desk import Desk
from handgroove.figures.as_heard import explain_heard
from handgroove.harmony.chart import parse_chart
from handgroove.strike import Role
from tests.groove.know.test_knowledge import CRASH, ROCK, TOMS, play

DESK = Desk(
    play(ROCK, ROCK, ROCK, TOMS, CRASH, ROCK, ROCK, ROCK), parse_chart("| C | F | C | G7 | C | F | C | C |")
)


def test_a_figure_played_as_planned_is_told_as_planned() -> None:
    """Where hands play all of it, what is told is what was planned."""
    assert DESK.part.figures == (DESK.figures.choices[0].explain(),)


def test_a_note_that_hands_move_is_told() -> None:
    """A note an octave off is a leap, and its line no longer moves by step throughout."""
    (planned,) = DESK.part.figures
    line = [note for note in DESK.settled.notes if note.role is Role.MELODY and note.tick < 4 * 3840]
    moved = replace(line[5], pitch=line[5].pitch + 12)
    (told,) = explain_heard(DESK.figures, [moved if note is line[5] else note for note in DESK.settled.notes])
    assert "its widest leap" in told
    assert "its widest leap" not in planned
    assert "by step throughout" not in told


def test_a_landing_that_hands_drop_is_not_told() -> None:
    """Without the notes on the landing the figure ends open, and is not said to land."""
    kept = [note for note in DESK.settled.notes if note.tick < 4 * 3840]
    (told,) = explain_heard(DESK.figures, kept)
    assert ", the " not in told


def test_a_figure_that_hands_drop_whole_is_told() -> None:
    """Where nothing of it sounds, that is what is said."""
    (told,) = explain_heard(DESK.figures, [])
    assert "no room" in told
