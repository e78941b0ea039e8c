"""The judge itself: it holds its peace over what is right, and finds each fault that is put in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from handgroove import read_pattern
from handgroove.output.score import format_musicxml, make_sheet
from handgroove.part import Note, Part
from handgroove.strike import Hand
from tests.laws.judge import LAWS
from tests.laws.moved import lead_in, shift, start_early
from tests.laws.page import read_page
from tests.laws.played import Played, play
from tests.laws.verdict import CHART, Take


@cache
def golden() -> Played:
    """Return straight eighths over four bars, right as music.md A has them."""
    return play(read_pattern("straight-eighths").groove(4), CHART)


def judged(law: str, part: Part) -> tuple[str, ...]:
    """Return what *law* says of a take whose part is *part*."""
    take = Take("doctored", part.groove)
    take.__dict__["plain"] = Played(part, format_musicxml(make_sheet(part)))  # in place of the job's own
    return LAWS[law](take).faults


def doctor(change: Callable[[Note], Note]) -> Part:
    """Return the golden part with its notes changed."""
    part = golden().part
    return replace(
        part, notes=tuple(sorted((change(note) for note in part.notes), key=lambda note: note.order))
    )


@pytest.mark.parametrize("law", ["changes", "ring", "pedal", "bars", "told", "hands"])
def test_a_right_part_is_right(law: str) -> None:
    """Nothing is wrong with the golden part."""
    assert judged(law, golden().part) == ()


def test_an_old_chord_on_the_one_is_found() -> None:
    """Am7's C4 E4 G4 struck on bar 2's Fmaj7 with a third that is only Am7's is told."""
    part = doctor(lambda n: replace(n, pitch=67) if n.tick == 3840 and n.hand is Hand.RIGHT else n)
    assert any("bar 2" in fault and "old G4" in fault for fault in judged("changes", part))


def test_a_new_chord_too_soon_is_found() -> None:
    """Fmaj7's A and F in the right hand on beat 4 of the bar before are told."""
    part = doctor(lambda n: replace(n, pitch=65) if n.tick == 2880 and n.hand is Hand.RIGHT else n)
    assert any("bar 2" in fault and "new F4" in fault for fault in judged("changes", part))


def test_a_note_that_rings_on_is_found() -> None:
    """A G4 of Am7 that is held for a beat of Fmaj7 is told with its length; with the pedal it is no better."""
    part = doctor(
        lambda n: replace(n, length_ticks=4800 - n.tick) if n.pitch == 67 and 1920 <= n.tick < 3840 else n
    )
    assert any("bar 2" in fault and "G4 rings 536 ms on" in fault for fault in judged("ring", part))
    assert judged("pedal", part)


def test_a_lost_hit_is_found() -> None:
    """A hit that is in no note and no omission is told by its name and place."""
    part = doctor(lambda n: replace(n, hits=()) if n.tick == 960 else n)
    assert any("snare at bar 1, beat 2" in fault for fault in judged("told", part))


def test_what_hands_cant_play_is_found() -> None:
    """A little finger sent down two octaves from the thumb's held note is told."""
    part = doctor(lambda n: replace(n, pitch=n.pitch - 12, length_ticks=1900) if n.hand is Hand.LEFT else n)
    assert judged("hands", part)


def test_a_bar_too_many_is_found() -> None:
    """A note after the last bar line prints a fifth bar, and that is told."""
    part = golden().part
    last = replace(part.notes[-1], tick=4 * 3840 + 10, place=None)
    assert any(
        "5 bars printed, 4 played" in fault
        for fault in judged("bars", replace(part, notes=(*part.notes, last)))
    )


def test_places_on_the_page_are_the_patterns_own() -> None:
    """Straight eighths read back from MusicXML stand where they were written, under their names."""
    played = golden()
    assert all(played.place(index) == note.tick for index, note in enumerate(played.part.notes))
    page = read_page(played.musicxml, played.timeline)
    assert page.measures == (1, 2, 3, 4)
    assert page.notes[0].name == "A1"
    assert page.finest_step_ticks(played.timeline) == 480


def test_a_lead_in_moves_everything_by_a_bar() -> None:
    """A bar of lead-in and a shift move hits and nothing else; an early start moves the first stroke alone."""
    groove = read_pattern("straight-eighths").groove(2)
    led = lead_in(groove)
    assert [hit.tick - 3840 for hit in led.hits] == [hit.tick for hit in groove.hits]
    assert led.timeline.end_tick == groove.timeline.end_tick + 3840
    assert {b.tick - a.tick for a, b in zip(led.hits, shift(led, 50).hits, strict=True)} == {90}
    early = start_early(led, 20)
    assert early is not None
    moved = [(a.tick, b.tick) for a, b in zip(led.hits, early.hits, strict=True) if a.tick != b.tick]
    assert set(moved) == {(3840, 3804)}
