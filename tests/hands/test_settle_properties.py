"""Settling, whatever is asked."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.hands.playability import Severity, check_notes
from handgroove.hands.player import Player
from handgroove.hands.settle import Settled, settle
from handgroove.part import Note
from handgroove.strike import Asked, Hand
from handgroove.timeline import Timeline
from tests.hands.passages import PLAYERS, ask_again, passages, timelines

CASES = {"asked": passages(), "player": st.sampled_from(PLAYERS), "line": timelines()}
MANY = settings(max_examples=150, deadline=None, derandomize=True)


def hold_together(one: Note, other: Note) -> bool:
    """Return whether two notes sound at one time."""
    return one.tick < other.end_tick and other.tick < one.end_tick


@MANY
@given(**CASES)
def test_two_hands_can_play_it(asked: tuple[Asked, ...], player: Player, line: Timeline) -> None:
    """The checker finds nothing that can't be played, at any size of hand."""
    settled = settle(asked, player, line)
    troubles = check_notes(settled.notes, player, line)
    assert [trouble for trouble in troubles if trouble.severity is Severity.CANT] == []


@MANY
@given(**CASES)
def test_counted_by_hand(asked: tuple[Asked, ...], player: Player, line: Timeline) -> None:
    """No hand holds over five notes or wider than it reaches, no finger two keys, no key is held twice."""
    for hand in Hand:
        mine = [note for note in settle(asked, player, line).notes if note.hand is hand]
        for one, other in combinations(mine, 2):
            if hold_together(one, other):
                assert abs(one.pitch - other.pitch) <= player.size(hand).most
                assert one.finger != other.finger
                assert one.pitch != other.pitch
        for note in mine:
            held = [other for other in mine if other.tick <= note.tick < other.end_tick]
            assert len(held) <= 5
            assert 1 <= note.finger <= 5


@MANY
@given(**CASES)
def test_nothing_is_lost_without_a_line(asked: tuple[Asked, ...], player: Player, line: Timeline) -> None:
    """Every pitch of every strike is played in place, or its hits stand in a line."""
    settled = settle(asked, player, line)
    told = {hit for omission in settled.omissions for hit in omission.hits}
    played = {(note.tick, note.pitch, note.hand, hit) for note in settled.notes for hit in note.hits}
    loose = {(note.pitch, note.hand, hit) for note in settled.notes for hit in note.hits}
    for item in asked:
        for pitch in item.strike.pitches:
            (hit,) = item.hits
            here = (item.tick, pitch, item.strike.hand, hit) in played
            # two strokes on one key in one gesture are one note, at the first's tick
            assert here or hit in told or (pitch, item.strike.hand, hit) in loose
    assert all(omission.reason for omission in settled.omissions)


@MANY
@given(**CASES)
def test_every_note_ends(asked: tuple[Asked, ...], player: Player, line: Timeline) -> None:
    """Each note has a length, none is longer than was asked, and all are in order."""
    settled = settle(asked, player, line)
    longest = max(item.strike.hold_ticks for item in asked)
    assert all(1 <= note.length_ticks <= longest + 120 for note in settled.notes)
    assert list(settled.notes) == sorted(settled.notes, key=lambda note: note.order)


@MANY
@given(**CASES)
def test_settling_again_changes_nothing(asked: tuple[Asked, ...], player: Player, line: Timeline) -> None:
    """What was settled is settled: its own output comes back as it is, with no line."""
    notes = settle(asked, player, line).notes
    assert settle(ask_again(notes), player, line) == Settled(notes)


@MANY
@given(**CASES)
def test_the_same_again(asked: tuple[Asked, ...], player: Player, line: Timeline) -> None:
    """The same strikes give the same part."""
    assert settle(asked, player, line) == settle(tuple(asked), player, line)


@MANY
@given(**CASES)
def test_leaving_notes_out_keeps_it_playable(
    asked: tuple[Asked, ...], player: Player, line: Timeline
) -> None:
    """The model looks at notes two by two: a playable passage without some of its notes is playable."""
    notes = settle(asked, player, line).notes
    for nth in (2, 3):
        fewer = [note for index, note in enumerate(notes) if index % nth]
        cant = [t for t in check_notes(fewer, player, line) if t.severity is Severity.CANT]
        assert cant == []
