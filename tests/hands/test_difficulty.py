"""Difficulty by bar and hand."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.hands.difficulty import find_difficulty
from handgroove.hands.player import Player
from handgroove.hands.settle import settle
from handgroove.part import Note
from handgroove.strike import Asked, Hand, Role
from handgroove.timeline import Metre, Timeline
from tests.hands.passages import passages


def line(pitches: tuple[int, ...]) -> list[Note]:
    """Return eighths in the right hand."""
    return [Note(i * 480, 400, pitch, 80, Hand.RIGHT, Role.MELODY) for i, pitch in enumerate(pitches)]


def figure(notes: list[Note], bpm: float = 100) -> float:
    """Return the sum of all figures."""
    return sum(item.figure for item in find_difficulty(notes, Player(), Timeline.of(Metre(4, 4), bpm, 8)))


def test_one_figure_a_bar_and_hand() -> None:
    """Bars in which a hand rests have no figure for it."""
    notes = [*line((60, 62, 64, 65, 67)), Note(3840, 400, 40, 80, Hand.LEFT, Role.BASS)]
    found = find_difficulty(notes, Player(), Timeline.of(Metre(4, 4), 100, 8))
    assert [(item.bar, item.hand) for item in found] == [(1, Hand.RIGHT), (2, Hand.LEFT)]


def test_rises_with_tempo() -> None:
    """The same notes are harder at a faster tempo."""
    notes = line((60, 64, 67, 72, 67, 64, 60, 62))
    assert figure(notes, 60) < figure(notes, 100) < figure(notes, 160)


def test_leaps_are_harder_than_steps() -> None:
    """As many notes with wide leaps cost more than a scale."""
    assert figure(line((60, 79, 58, 81, 60, 79, 58, 81))) > figure(line((60, 62, 64, 65, 67, 69, 71, 72)))


def test_chords_are_harder_than_their_tops() -> None:
    """A passage in chords is harder than its top line alone."""
    tops = line((72, 74, 76, 77))
    chords = [Note(n.tick, n.length_ticks, n.pitch - d, 80, n.hand, n.role) for n in tops for d in (0, 5, 9)]
    assert figure(chords) > figure(tops)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(asked=passages(), nth=st.integers(2, 4))
def test_falls_when_notes_are_removed(asked: tuple[Asked, ...], nth: int) -> None:
    """Whatever is played, without some of its notes it's not harder."""
    timeline = Timeline.of(Metre(4, 4), 100, 8)
    notes = list(settle(asked, Player(), timeline).notes)
    fewer = [note for index, note in enumerate(notes) if index % nth]
    assert figure(fewer) <= figure(notes) + 0.02  # figures are rounded to two places
