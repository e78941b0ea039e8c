"""The measures of the low line, of stops and of pushes hold for a good part and fail for a made bad one."""

from __future__ import annotations

from dataclasses import replace

from handgroove import read_pattern
from handgroove.desk.desk import Desk
from handgroove.groove.kit import Family
from handgroove.harmony.chart import Cue, parse_chart
from handgroove.part import Note
from handgroove.strike import Hand, Role
from tests.tools.music.heard import CHART, Count, Heard
from tests.tools.music.low_line import (
    broken_pushes,
    broken_stops,
    faults_of,
    is_swung,
    no_root_other,
    no_root_swung,
    push_fault,
    stop_fault,
    wanted_pattern,
)


def swing(**settings: str) -> Heard:
    """Return eight bars of ride and pedal hat without a kick, the low note's *settings* changed."""
    pattern = read_pattern("swing ride")
    groove = pattern.groove(8, tempo_bpm=120)
    groove = replace(groove, hits=tuple(hit for hit in groove.hits if hit.piece.family is not Family.KICK))
    assignments = tuple(
        replace(one, settings={**one.settings, **settings}) if one.use == "low note" else one
        for one in pattern.assignments
    )
    return Heard("made_jazz", Desk(groove, parse_chart(CHART), replace(pattern, assignments=assignments)))


def test_a_ride_without_a_bass_is_counted() -> None:
    """A line in two has a root in each bar; without a line no bar has one."""
    assert no_root_swung(swing()) == Count(0, 8)
    assert no_root_swung(swing(line="none")).found == 8


def test_straight_takes_are_not_swung() -> None:
    """Eighths on a hat neither swing nor ride."""
    groove = read_pattern("straight eighths").groove(4)
    assert not is_swung(Desk(groove, parse_chart(CHART)))
    assert no_root_swung(Heard("made_rock", Desk(groove, parse_chart(CHART)))) == Count(0, 0)


def test_named_styles_get_their_own_pattern() -> None:
    """A waltz by its metre, Latin styles by their names; rock by none."""
    assert wanted_pattern("drummer1_session1_1_jazz_100_beat_3-4", "3/4") == "waltz"
    assert wanted_pattern("drummer1_session1_1_latin-samba_100_beat_4-4", "4/4") == "samba"
    assert wanted_pattern("drummer1_session1_1_rock_100_beat_4-4", "4/4") == ""
    groove = read_pattern("waltz").groove(4)
    kickless = tuple(hit for hit in groove.hits if hit.piece.family is not Family.KICK)
    made = Desk(replace(groove, hits=kickless), parse_chart(CHART))
    assert no_root_other(Heard("made_3-4", made)).of == 4


def low(tick: int, pitch: int, role: Role = Role.KICK) -> Note:
    """Return a note of the left hand."""
    return Note(tick, 400, pitch, 70, Hand.LEFT, role)


def test_leaps_and_mud_are_counted() -> None:
    """Two octaves between two low notes, and a third under C3; a step and an octave are neither."""
    assert faults_of([low(0, 36), low(960, 48), low(1920, 50)]).found == 0
    assert faults_of([low(0, 28), low(960, 48)]).found == 1
    assert faults_of([low(0, 36), low(0, 40, Role.SNARE)]).found == 1


def test_stops_are_judged() -> None:
    """A stop of the job is whole; without its left hand, or with a note in its silence, it is not."""
    desk = Desk(read_pattern("straight eighths").groove(4), parse_chart("| Am7 | C! | F | G |"))
    (span,) = [span for span in desk.harmony.spans if span.cue is Cue.STOP]
    assert stop_fault(desk, span) == ""
    assert broken_stops(Heard("made", desk)).found == 0
    good = desk.part
    for bad, told in (
        (tuple(n for n in good.notes if n.hand is Hand.RIGHT), "left has 0 keys"),
        (tuple(sorted((*good.notes, low(5000, 36)), key=lambda n: n.order)), "struck in the silence"),
    ):
        other = desk.change()
        other.__dict__["part"] = replace(good, notes=bad)
        assert stop_fault(other, span) == told


def test_pushes_are_judged() -> None:
    """A push of the job is in both hands; without its left hand, or with the old chord held on, it is not."""
    desk = Desk(read_pattern("straight eighths").groove(2), parse_chart("| C | >G |"))
    before, span = desk.harmony.spans
    assert push_fault(desk, before, span) == ""
    assert broken_pushes(Heard("made", desk)).found == 0
    good = desk.part
    ringing = Note(0, 4000, 65, 70, Hand.RIGHT, Role.COMPING)
    for bad, told in (
        (tuple(n for n in good.notes if n.hand is Hand.RIGHT), "no root in the left hand"),
        (tuple(n for n in good.notes if n.hand is Hand.LEFT), "no chord in the right hand"),
        (tuple(sorted((*good.notes, replace(ringing, pitch=61)), key=lambda n: n.order)), "the old chord sounds on"),
    ):  # fmt: skip
        other = desk.change()
        other.__dict__["part"] = replace(good, notes=bad)
        assert push_fault(other, before, span) == told
