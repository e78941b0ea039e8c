"""The causal guard."""

from __future__ import annotations

import time
from dataclasses import replace
from statistics import median

from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.hands.guard import FOREVER, Admission, Guard
from handgroove.hands.playability import Severity, check_notes
from handgroove.hands.player import Player
from handgroove.part import Change, Note
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Metre, Timeline
from tests.hands.passages import PLAYERS, passages

LINE = Timeline.of(Metre(4, 4), 62.5, 8)  # a tick is a millisecond


def kick(pitch: int = 33, finger: int = 5) -> Strike:
    """Return a kick on the little finger, held until the hand's next stroke."""
    return Strike((pitch,), 90, Hand.LEFT, Role.KICK, 1920, until_next=True, fingers=(finger,))


def snare(pitch: int = 45) -> Strike:
    """Return a snare on the thumb."""
    return Strike((pitch,), 100, Hand.LEFT, Role.SNARE, 200, fingers=(1,))


def play(guard: Guard, asked: tuple[Asked, ...]) -> list[Note]:
    """Return the notes that come out when *asked* (ticks as milliseconds) arrives strike by strike."""
    notes: list[Note] = []
    down: dict[tuple[Hand, int], int] = {}
    for item in asked:
        now = item.tick / 1000
        got = guard.admit(item.strike, now, item.strike.hold_ticks / 1000, tick=item.tick)
        for key in got.releases:
            index = down.pop(key)
            old = notes[index]
            notes[index] = Note(
                old.tick, item.tick - old.tick, old.pitch, old.velocity, old.hand, old.role, old.finger
            )
        for press in got.presses:
            end = 100_000 if press.end_sec == FOREVER else round(press.end_sec * 1000)
            down[press.hand, press.pitch] = len(notes)
            note = Note(item.tick, end - item.tick, press.pitch, press.velocity, press.hand, item.strike.role)
            notes.append(
                Note(note.tick, note.length_ticks, note.pitch, 1, note.hand, note.role, press.finger)
            )
    return notes


def test_a_quick_second_stroke_takes_its_second_key() -> None:
    """A snare 60 ms after another is played on the key beside it, and the line says so."""
    guard = Guard(Player())
    asked = tuple(Asked(tick, replace(snare(), second=43)) for tick in (0, 60))
    assert [(note.pitch, note.finger) for note in play(guard, asked)] == [(45, 1), (43, 2)]


@settings(max_examples=200, deadline=None, derandomize=True)
@given(asked=passages(), player=st.sampled_from(PLAYERS))
def test_what_it_lets_through_passes_the_checker(asked: tuple[Asked, ...], player: Player) -> None:
    """Whatever arrives, what comes out can be played."""
    notes = play(Guard(player), asked)
    cant = [t for t in check_notes(notes, player, LINE) if t.severity is Severity.CANT]
    assert cant == []


@settings(max_examples=100, deadline=None, derandomize=True)
@given(asked=passages(), player=st.sampled_from(PLAYERS))
def test_it_never_looks_ahead(asked: tuple[Asked, ...], player: Player) -> None:
    """What it says of the first strikes does not depend on those that follow."""
    half = asked[: len(asked) // 2]

    def answers(strikes: tuple[Asked, ...]) -> list[Admission]:
        guard = Guard(player)
        return [guard.admit(a.strike, a.tick / 1000, a.strike.hold_ticks / 1000) for a in strikes]

    assert answers(asked)[: len(half)] == answers(half)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(asked=passages(), player=st.sampled_from(PLAYERS))
def test_nothing_goes_without_a_line(asked: tuple[Asked, ...], player: Player) -> None:
    """A strike of which a pitch is missing has a line."""
    guard = Guard(player)
    for item in asked:
        got = guard.admit(item.strike, item.tick / 1000, 0.2)
        if len(got.presses) < len(item.strike.pitches):
            assert got.omissions


def test_kick_ends_at_the_hands_next_stroke() -> None:
    """A kick's note is let go when the thumb strikes, and not by a snare of the same gesture."""
    guard = Guard(Player())
    assert guard.admit(kick(), 0.0, 2.0).releases == ()
    assert guard.admit(snare(), 0.01, 0.2).releases == ()
    assert guard.admit(kick(), 0.5, 2.0).releases == ((Hand.LEFT, 33),)


def test_fast_kicks_change_fingers() -> None:
    """Kicks at under seven a second, too quick for one finger, go to another, with a line."""
    guard = Guard(Player())
    guard.admit(kick(), 0.0, 2.0)
    got = guard.admit(kick(), 0.15, 2.0)
    assert got.presses[0].finger != 5
    assert [line.change for line in got.omissions] == [Change.REFINGERED]


def test_too_wide_a_chord_is_thinned() -> None:
    """A chord over the reach loses notes but keeps its top, in the right hand."""
    chord = Strike((60, 64, 70, 79), 90, Hand.RIGHT, Role.COMPING, 400)
    got = Guard(Player()).admit(chord, 1.0, 0.4)
    assert [press.pitch for press in got.presses] == [70, 79]
    assert "left out" in got.omissions[0].reason


def test_a_hit_takes_well_under_a_tenth_of_a_millisecond() -> None:
    """The median of a busy groove's strikes is far below 100 microseconds."""
    guard = Guard(Player())
    chord = Strike((60, 64, 67), 70, Hand.RIGHT, Role.COMPING, 300)
    took = []
    for beat in range(400):
        for strike in (kick(), chord, snare() if beat % 2 else kick()):
            start = time.perf_counter()
            guard.admit(strike, beat * 0.4, 0.3)
            took.append(time.perf_counter() - start)
    assert median(took) < 100e-6


def test_a_stroke_too_quick_for_its_finger_goes_to_the_second_key() -> None:
    """Two kicks 70 ms apart: the second finger takes the fifth, softer; a quarter of a second later it needs not."""
    guard = Guard(Player())
    quick = replace(kick(), second=40)
    pressed = []
    for now_sec in (0.0, 0.07, 1.0, 1.25):
        got = guard.admit(quick, now_sec, 1.0)
        pressed += [(press.pitch, press.finger, press.velocity) for press in got.presses]
        told = [line.change for line in got.omissions]
        assert told == ([Change.REFINGERED] if now_sec == 0.07 else [])
    assert pressed == [(33, 5, 90), (40, 2, 68), (33, 5, 90), (33, 5, 90)]


def test_the_key_held_before_is_let_go_for_the_second_one() -> None:
    """The root that lasts until the hand's next stroke ends when the second finger takes over."""
    guard = Guard(Player())
    quick = replace(kick(), second=40)
    guard.admit(quick, 0.0, 1.0)
    assert guard.admit(quick, 0.07, 1.0).releases == ((Hand.LEFT, 33),)
