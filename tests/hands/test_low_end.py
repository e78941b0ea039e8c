"""The low end: nothing sounds closer than is clear so far down."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.hands.change_lines import Changes
from handgroove.hands.low_end import clear_low_end, is_mud
from handgroove.hands.player import Player
from handgroove.hands.settle import settle
from handgroove.hands.wishes import Wish, clock_of, take_apart
from handgroove.part import Note
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Timeline
from tests.hands.passages import PLAYERS, passages, timelines


def asked(tick: int, pitch: int, hold_ticks: int, grace: bool = False, role: Role = Role.SNARE) -> Asked:
    """Ask the left hand for a note."""
    return Asked(tick, Strike((pitch,), 80, Hand.LEFT, role, hold_ticks, grace=grace))


def cleared(*strikes: Asked) -> tuple[list[Wish], Changes]:
    """Return the left hand's wishes for *strikes* without mud, and what was changed."""
    changes = Changes()
    wishes = take_apart(strikes, Player(), clock_of(Timeline()))
    left, _ = clear_low_end(wishes, [], changes, may_move=True)
    return left, changes


@pytest.mark.parametrize(
    ("low", "high", "mud"),
    [(33, 40, True), (37, 44, False), (33, 45, False), (43, 45, True), (52, 53, False), (47, 51, True)],
)
def test_mud_is_by_interval_and_height(low: int, high: int, mud: bool) -> None:
    """A fifth on A1 is mud and on C♯2 clear; octaves are always clear; thirds from C3, seconds from E3."""
    assert is_mud(low, high) is is_mud(high, low) is mud


def test_a_held_note_is_let_go_where_the_next_makes_mud() -> None:
    """A2 ends as G2 is struck; an octave below may ring on."""
    ends = {pitch: cleared(asked(0, 45, 480), asked(240, pitch, 240))[0][0].end_tick for pitch in (43, 33)}
    assert ends == {43: 240, 33: 480}


def test_a_grace_is_let_go_however_close() -> None:
    """A grace a hair before a kick that it would muddy ends as the kick is struck."""
    assert cleared(asked(0, 43, 50, grace=True), asked(30, 33, 480))[0][0].end_tick == 30


def test_of_two_struck_together_the_lesser_moves_up() -> None:
    """A tom on B2 beside the thumb's A2 goes to B3, and a line tells it."""
    wishes, changes = cleared(asked(0, 45, 240), asked(0, 47, 240, role=Role.COLOUR))
    assert [wish.pitch for wish in wishes] == [45, 59]
    assert "an octave up" in changes.lines()[0].reason


@pytest.mark.parametrize("weight", [0.2, 1.0, 2.0])
@pytest.mark.parametrize("low", [38, 40, 43, 44])
def test_a_snare_goes_to_the_octave_of_the_low_note(low: int, weight: float) -> None:
    """However light the kick, both are struck, the thumb's third or fourth above it moved to the kick's octave."""
    kick = Asked(0, Strike((low,), 80, Hand.LEFT, Role.KICK, 480, weight=weight))
    wishes, changes = cleared(kick, asked(7, low + 4, 240))
    assert [wish.pitch for wish in wishes] == [low, low + 12]
    assert "octave of the low note" in changes.lines()[0].reason


def test_a_kick_never_moves_to_the_snares_octave() -> None:
    """A kick on A1 beside a bass on C2 goes, with a line, for its octave would say snare."""
    wishes, changes = cleared(asked(0, 33, 240, role=Role.KICK), asked(0, 36, 240, role=Role.MELODY))
    assert [wish.pitch for wish in wishes] == [36]
    assert "too close" in changes.lines()[0].reason


def sound_together(one: Note, other: Note) -> bool:
    """Return whether two notes sound at one time."""
    return one.tick < other.end_tick and other.tick < one.end_tick


@given(passages(), st.sampled_from(PLAYERS), timelines())
@settings(max_examples=150, deadline=None, derandomize=True)
def test_no_settled_notes_make_mud(passage: tuple[Asked, ...], player: Player, timeline: Timeline) -> None:
    """Whatever is asked of hands of any size, no two notes of both sound closer than is clear so far down."""
    for one, other in combinations(settle(passage, player, timeline).notes, 2):
        assert not (sound_together(one, other) and is_mud(one.pitch, other.pitch))
