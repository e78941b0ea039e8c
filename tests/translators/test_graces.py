"""Graces, rolls and rebounds at the piano: the golden cases of a flam and a drag, and the laws of their keys."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

import handgroove
from handgroove.groove.hits import Hit, Stroke
from handgroove.groove.kit import Piece
from handgroove.groove.meant.gestures import GestureKind
from handgroove.harmony.chord import parse_chord
from handgroove.part import Note, Part
from handgroove.strike import Hand, Strike
from handgroove.translators.click import Click, ClickSettings
from handgroove.translators.graces import LEAST_SEC, TREMOLO_HZ, grace_keys, spare_key
from handgroove.translators.low_note import LowNote, LowNoteSettings
from handgroove.translators.thumb_reply import ThumbReply, ThumbReplySettings
from handgroove.translators.tom_tones import TomTones, TomTonesSettings
from tests.translators.moments import AM7, hit, moment

MS = 1.792  # ticks at 112 to the minute
G2, E2, A2, A1 = 43, 40, 45, 33
SNARE = hit(Piece.SNARE, 100)


def part_with_graces(*ms: float) -> Part:
    """Return groove A over Am7 with graces *ms* before the snare on 2."""
    groove = handgroove.read_pattern("straight eighths").groove(2)
    graces = [Hit(960 - round(before * MS), Piece.SNARE, 45, 38) for before in ms]
    hits = tuple(sorted((*groove.hits, *graces), key=lambda hit: hit.order))
    part = handgroove.translate(replace(groove, hits=hits), handgroove.parse_chart("| Am7 | Fmaj7 |"))
    assert isinstance(part, Part)
    return part


def left_until_two(part: Part) -> list[Note]:
    """Return the left hand's notes up to the snare on 2."""
    return [note for note in part.hand(Hand.LEFT) if note.tick <= 960]


def test_a_flam_on_two_is_exact() -> None:
    """A1 ends as G2(2) begins, half as loud; G2 ends as A2(1) sounds on the beat; each stands for its own stroke."""
    part = part_with_graces(30)
    low, grace, main = left_until_two(part)
    assert [(n.pitch, n.finger, n.grace) for n in (low, grace, main)] == [
        (A1, 5, False),
        (G2, 2, True),
        (A2, 1, False),
    ]
    assert (low.end_tick, grace.end_tick, main.tick) == (grace.tick, main.tick, 960)
    assert grace.tick == 960 - round(30 * MS)
    assert grace.velocity == round(main.velocity / 2)
    assert [part.groove.hits[note.hits[0]].tick for note in (grace, main)] == [grace.tick, main.tick]
    assert len(grace.hits) == len(main.hits) == 1


def test_a_drag_on_two_is_exact() -> None:
    """E2(3) G2(2) lead to A2(1), 60 and 30 ms before."""
    _, first, second, main = left_until_two(part_with_graces(60, 30))
    assert [(n.pitch, n.finger) for n in (first, second, main)] == [(E2, 3), (G2, 2), (A2, 1)]
    assert [main.tick - n.tick for n in (first, second)] == [round(60 * MS), round(30 * MS)]
    assert (first.end_tick, second.end_tick) == (second.tick, main.tick)


def test_nothing_else_of_the_bar_changes_with_a_flam() -> None:
    """The flam adds its grace and ends the note before it; every other note is as it was."""
    plain, flammed = part_with_graces(), part_with_graces(30)
    there = {(n.tick, n.pitch, n.finger, n.velocity) for n in flammed.notes if not n.grace}
    assert there == {(n.tick, n.pitch, n.finger, n.velocity) for n in plain.notes}


@given(
    st.sampled_from(["Am7", "C", "F#m7b5", "Bbmaj9", "G7alt", "Ddim7", "Esus4", "C/E", "Abm6"]),
    st.integers(24, 43),
    st.integers(1, 3),
)
def test_graces_lie_below_the_main_note_and_above_the_kick(symbol: str, low: int, count: int) -> None:
    """Graces are chord tones or scale steps, nearest first, never the main key, its octave below or the low note."""
    chord, main = parse_chord(symbol), low + 12
    keys = grace_keys(main, chord, count, low)
    allowed = chord.pcs | {(chord.root.pc + step) % 12 for step in chord.scale}
    assert keys
    assert all(low < key < main for key in keys)
    assert keys == sorted(set(keys), reverse=True)
    assert all(key % 12 in allowed for key in keys)


def test_a_ruff_has_three_graces_on_three_fingers() -> None:
    """Three graces in Am7 are C2(4) E2(3) G2(2), each as long as to the next."""
    at = moment(gesture=GestureKind.RUFF, graces=((-160, 40), (-100, 40), (-50, 40)))
    *graces, main = strikes(ThumbReply(ThumbReplySettings()).strikes(SNARE, at))
    assert [(s.pitches, s.fingers, s.delay_ticks, s.hold_ticks) for s in graces] == [
        ((36,), (4,), -160, 60),
        ((E2,), (3,), -100, 50),
        ((G2,), (2,), -50, 50),
    ]
    assert main.pitches == (A2,)
    assert all(s.grace and s.weight == main.weight for s in graces)


def strikes(answer: object) -> list[Strike]:
    """Return *answer* as a list of strikes."""
    assert isinstance(answer, list)
    return answer


@given(
    st.sampled_from(["Am7", "C", "F#m7b5", "Bbmaj9", "G7alt", "Ddim7", "Esus4", "C/E", "Abm6"]),
    st.integers(36, 62),
)
def test_a_spare_key_is_a_third_to_a_fourth_above(symbol: str, main: int) -> None:
    """It is the nearest such tone of the chord, and never one of the right hand's; or there is none."""
    chord = parse_chord(symbol)
    wanted = [key for key in range(main + 3, main + 6) if key % 12 in chord.pcs and key < 60]
    assert spare_key(main, moment(chord=chord)) == next(iter(wanted), -1)
    assert spare_key(main, moment(chord=None)) == -1


def test_a_grace_that_comes_with_its_stroke_is_part_of_it() -> None:
    """Two sticks within a hundredth of a second are one note."""
    at = moment(gesture=GestureKind.FLAM, graces=((-round(LEAST_SEC * 1792) + 1, 60),))
    assert [s.pitches for s in strikes(ThumbReply(ThumbReplySettings()).strikes(SNARE, at))] == [(A2,)]


def test_soft_graces_may_become_weight() -> None:
    """Told so, a ghost's drag is one ghost, a little louder than without."""
    reply = ThumbReply(ThumbReplySettings(soft_graces="accent"))
    ghost = hit(Piece.SNARE, 30)
    (plain,) = strikes(reply.strikes(ghost, moment(stroke=Stroke.GHOST)))
    at = moment(stroke=Stroke.GHOST, gesture=GestureKind.DRAG, graces=((-100, 15), (-50, 20)))
    (accented,) = strikes(reply.strikes(ghost, at))
    assert plain.velocity < accented.velocity <= 40
    assert len(strikes(ThumbReply(ThumbReplySettings()).strikes(ghost, at))) == 3


ROLL = tuple((70 * place, 60) for place in range(1, 16))  # 39 ms apart


def test_a_roll_is_a_tremolo_of_root_and_octave_below_c3() -> None:
    """A2's roll goes to and fro with A1, in even sixteenths at 112: no faster than two fingers in turn."""
    at = moment(gesture=GestureKind.ROLL, graces=ROLL)
    notes = strikes(ThumbReply(ThumbReplySettings()).strikes(SNARE, at))
    assert len(notes) >= 3
    assert {s.pitches for s in notes[::2]} == {(A2,)}
    assert {s.pitches for s in notes[1::2]} == {(A1,)}
    times = [s.delay_ticks for s in notes]
    assert {b - a for a, b in pairwise(times)} == {240}
    assert TREMOLO_HZ >= 1792 / 240
    assert times[-1] < ROLL[-1][0]


def test_a_high_roll_is_on_a_third_or_wider() -> None:
    """From C3 up the second key is a chord tone a third or more below."""
    at = moment(gesture=GestureKind.ROLL, graces=ROLL, low=43)
    notes = strikes(ThumbReply(ThumbReplySettings()).strikes(SNARE, at))
    high, lower = notes[0].pitches[0], notes[1].pitches[0]
    assert high >= 48
    assert 3 <= high - lower <= 7
    assert lower % 12 in AM7.pcs


def test_a_roll_may_be_one_held_note() -> None:
    """Told so, or too short for a tremolo, a roll is one note, accented and held for its length."""
    at = moment(gesture=GestureKind.ROLL, graces=ROLL)
    (held,) = strikes(ThumbReply(ThumbReplySettings(rolls="held")).strikes(SNARE, at))
    (plain,) = strikes(ThumbReply(ThumbReplySettings()).strikes(SNARE, moment()))
    assert held.hold_ticks >= ROLL[-1][0]
    assert held.velocity > plain.velocity
    short = moment(gesture=GestureKind.ROLL, graces=ROLL[:3])
    assert len(strikes(ThumbReply(ThumbReplySettings()).strikes(SNARE, short))) == 1


def test_a_ghosts_rebound_falls_on_the_key_below() -> None:
    """A ghost's second stroke 40 ms later is the second finger's, softer; 20 ms later it is part of the first."""
    ghost = hit(Piece.SNARE, 40)
    reply = ThumbReply(ThumbReplySettings())
    late = moment(stroke=Stroke.GHOST, gesture=GestureKind.REBOUND, graces=((72, 30),))
    main, fallen = strikes(reply.strikes(ghost, late))
    assert (fallen.pitches, fallen.fingers, fallen.delay_ticks) == ((G2,), (2,), 72)
    assert fallen.velocity < main.velocity
    assert main.hold_ticks <= 72
    close = replace(late, graces=((36, 30),))
    assert len(strikes(reply.strikes(ghost, close))) == 1


def test_toms_and_cross_sticks_have_graces_too() -> None:
    """A flam on a tom is a grace below its tone in the same hand; on the cross-stick one below the thumb."""
    at = moment(gesture=GestureKind.FLAM, graces=((-50, 40),))
    grace, main = strikes(TomTones(TomTonesSettings()).strikes(hit(Piece.FLOOR_TOM, 100), at))
    assert grace.pitches[0] < main.pitches[0]
    assert grace.hand is main.hand
    grace, main = strikes(Click(ClickSettings()).strikes(hit(Piece.SIDE_STICK, 100), at))
    assert (grace.pitches, main.pitches) == ((G2,), (A2,))


@pytest.mark.parametrize(
    ("chord", "low", "second"), [("Am7", 33, 40), ("Fmaj7", 29, 36), ("Dm7b5", 38, 44), ("C/E", 28, 36)]
)
def test_a_kick_knows_the_second_fingers_key(chord: str, low: int, second: int) -> None:
    """A quick second kick has the chord's fifth above the root, never the octave; over E in C/E the C."""
    at = moment(chord=parse_chord(chord), next_chord=None, next_low=None, low=low, ticks_to_change=None)
    (strike,) = strikes(LowNote(LowNoteSettings()).strikes(hit(Piece.KICK), at))
    assert strike.second == second
