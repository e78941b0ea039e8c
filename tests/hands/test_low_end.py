"""The low end: what would be mud is let go in time."""

from __future__ import annotations

import pytest
from hypothesis import given

from handgroove.hands.low_end import is_mud, let_mud_go
from handgroove.hands.player import Player
from handgroove.hands.settle import settle
from handgroove.hands.wishes import clock_of, take_apart
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Timeline
from tests.hands.passages import passages, timelines


def asked(tick: int, pitch: int, hold_ticks: int, grace: bool = False) -> Asked:
    """Ask the left hand for a note."""
    return Asked(tick, Strike((pitch,), 80, Hand.LEFT, Role.SNARE, hold_ticks, grace=grace))


@pytest.mark.parametrize(
    ("low", "high", "mud"),
    [(33, 40, True), (37, 44, False), (33, 45, False), (43, 45, True), (52, 53, False)],
)
def test_mud_is_by_interval_and_height(low: int, high: int, mud: bool) -> None:
    """A fifth on A1 is mud and on C♯2 clear; octaves are always clear; a second is clear from E3."""
    assert is_mud(low, high) is is_mud(high, low) is mud


def test_a_held_note_is_let_go_where_the_next_makes_mud() -> None:
    """A2 ends as G2 is struck; an octave below may ring on."""
    ends = {}
    for pitch in (43, 33):
        wishes = take_apart([asked(0, 45, 480), asked(240, pitch, 240)], Player(), clock_of(Timeline()))
        let_mud_go(wishes)
        ends[pitch] = wishes[0].end_tick
    assert ends == {43: 240, 33: 480}


def test_a_grace_is_let_go_however_close() -> None:
    """A grace a hair before a kick that it would muddy ends as the kick is struck."""
    wishes = take_apart([asked(0, 43, 50, grace=True), asked(30, 33, 480)], Player(), clock_of(Timeline()))
    let_mud_go(wishes)
    assert wishes[0].end_tick == 30


@given(passages(), timelines())
def test_no_settled_note_is_held_into_mud(passage: tuple[Asked, ...], timeline: Timeline) -> None:
    """Whatever is asked, no hand holds a note into a later gesture's that is too close to it so far down."""
    notes = settle(passage, Player(), timeline).notes
    clock = clock_of(timeline)
    for index, note in enumerate(notes):
        for later in notes[index + 1 :]:
            apart = clock(later.tick) - clock(note.tick) > 0.03
            if later.hand is note.hand and apart and later.tick < note.end_tick:
                assert not is_mud(note.pitch, later.pitch)
