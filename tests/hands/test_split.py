"""Splitting one stream of notes between two hands."""

from __future__ import annotations

from handgroove.hands.player import Player
from handgroove.hands.split import split_by_search
from handgroove.part import Note
from handgroove.strike import Hand, Role
from handgroove.timeline import Metre, Timeline

LINE = Timeline.of(Metre(4, 4), 100, 8)


def note(tick: int, pitch: int, length: int = 400) -> Note:
    """Return a note of nobody's yet."""
    return Note(tick, length, pitch, 80, Hand.LEFT, Role.COMPING)


def hands(*notes: Note) -> dict[Hand, list[int]]:
    """Return the pitches that each hand gets, in order of time."""
    done = split_by_search(notes, Player(), LINE)
    return {hand: [n.pitch for n in sorted(done, key=lambda n: n.order) if n.hand is hand] for hand in Hand}


def test_bass_and_tune() -> None:
    """A bass and a tune far apart go to left and right."""
    notes = [note(i * 480, 40 + i % 3) for i in range(8)] + [note(i * 480, 72 + i % 3) for i in range(8)]
    got = hands(*notes)
    assert max(got[Hand.LEFT]) < 60 < min(got[Hand.RIGHT])


def test_chords_go_to_the_hand_that_reaches_them() -> None:
    """A low and a high handful are split where neither hand is stretched."""
    got = hands(*(note(0, pitch) for pitch in (41, 48, 53, 65, 69, 72)))
    assert got == {Hand.LEFT: [41, 48, 53], Hand.RIGHT: [65, 69, 72]}


def test_the_line_follows_the_music() -> None:
    """Two hands that both go up stay two hands."""
    notes = []
    for step in range(12):
        notes += [note(step * 480, 40 + 2 * step), note(step * 480, 56 + 2 * step)]
    got = hands(*notes)
    assert len(got[Hand.LEFT]) == len(got[Hand.RIGHT]) == 12


def test_every_note_gets_a_hand() -> None:
    """No note is lost or doubled."""
    notes = [note(i * 100, 30 + (i * 7) % 60) for i in range(60)]
    done = split_by_search(notes, Player(), LINE)
    assert sorted((n.tick, n.pitch) for n in done) == sorted((n.tick, n.pitch) for n in notes)
