"""Chords that come faster than a key can be struck again: none of their strokes is lost."""

from __future__ import annotations

from dataclasses import replace

import pytest

from handgroove.hands.change_lines import Changes
from handgroove.hands.playability import Severity, check_notes
from handgroove.hands.player import Player
from handgroove.hands.quick_chords import rock_chords
from handgroove.hands.settle import settle
from handgroove.hands.wishes import clock_of, take_apart
from handgroove.part import Note
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Metre, Timeline

SIXTEENTH = 240


def chord(tick: int, weight: float, *pitches: int) -> Asked:
    """Return a right hand's chord at *tick*, standing for the hit of that number."""
    return Asked(tick, Strike(pitches, 90, Hand.RIGHT, Role.COMPING, 200, weight=weight), (tick,))


def settled(asked: list[Asked], tempo_bpm: float) -> tuple[Note, ...]:
    """Return what hands play of *asked*; nothing of it is too quick for them."""
    line = Timeline.of(Metre(4, 4), tempo_bpm, 1)
    notes = settle(asked, Player(), line).notes
    assert not [
        trouble for trouble in check_notes(notes, Player(), line) if trouble.severity is Severity.CANT
    ]
    return notes


@pytest.mark.parametrize("tempo_bpm", [152, 160, 176])
@pytest.mark.parametrize("weights", [(0.6, 1.6), (1.6, 0.6), (1.0, 1.0)])
@pytest.mark.parametrize("pitches", [(57, 60, 65), (60, 64), (58, 62, 65, 69)])
def test_of_two_quick_chords_each_has_keys_of_its_own(
    tempo_bpm: float, weights: tuple[float, float], pitches: tuple[int, ...]
) -> None:
    """Both strokes sound, on no common key, and the heavier (of two alike the first) keeps its top."""
    asked = [chord(number * SIXTEENTH, weight, *pitches) for number, weight in enumerate(weights)]
    notes = settled(asked, tempo_bpm)
    first, second = ({n.pitch for n in notes if n.tick == tick} for tick in (0, SIXTEENTH))
    assert first
    assert second
    assert not first & second
    assert max(pitches) in (first if weights[0] >= weights[1] else second)


def test_a_light_stroke_before_them_keeps_its_key() -> None:
    """After a light A3 the chords rock: C4 for the first, A3 and F4 for the heavier one."""
    asked = [chord(0, 0.5, 57), chord(SIXTEENTH, 0.6, 57, 60, 65), chord(2 * SIXTEENTH, 1.6, 57, 60, 65)]
    notes = settled(asked, 152)
    struck = [tuple(n.pitch for n in notes if n.tick == tick) for tick in (0, SIXTEENTH, 2 * SIXTEENTH)]
    assert struck == [(57,), (60,), (57, 65)]


def test_chords_that_a_hand_repeats_stay_whole() -> None:
    """At a speed at which a key can just be struck again nothing is taken from either."""
    asked = [chord(0, 1.0, 57, 60, 65), chord(SIXTEENTH, 1.6, 57, 60, 65)]
    line, changes = Timeline.of(Metre(4, 4), 150, 1), Changes()
    wishes = take_apart(asked, Player(), clock_of(line))
    assert rock_chords(wishes, 10.0, changes) == wishes
    assert rock_chords(wishes, 9.9, changes) != wishes


@pytest.mark.parametrize("role", [Role.MELODY, Role.SNARE])
def test_only_chords_give_up_keys(role: Role) -> None:
    """A tune in two voices keeps both."""
    asked = [
        Asked(item.tick, replace(item.strike, role=role), item.hits)
        for item in (chord(0, 1.0, 57, 60), chord(SIXTEENTH, 1.6, 57, 60))
    ]
    wishes = take_apart(asked, Player(), clock_of(Timeline.of(Metre(4, 4), 176, 1)))
    assert rock_chords(wishes, 10.0, Changes()) == wishes
