"""Fast feet and weak fingers: how soon the left hand strikes a key again, and the fourth and fifth finger in turn."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.hands.guard import Guard
from handgroove.hands.player import Player
from handgroove.hands.settle import settle
from handgroove.part import Note
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Metre, Timeline
from tests.hands.passages import PLAYERS, passages, timelines

CASES = {"asked": passages(), "player": st.sampled_from(PLAYERS), "line": timelines()}
MANY = settings(max_examples=150, deadline=None, derandomize=True)
EPS = 1e-6


def quick_repeats(strokes: list[tuple[float, int]]) -> list[float]:
    """Return when one of *strokes* (seconds, key) is a second over 7 a second or a third over 6."""
    keys: dict[int, list[float]] = defaultdict(list)
    for sec, key in strokes:
        keys[key].append(sec)
    found = []
    for secs in keys.values():
        gaps = [after - before + EPS for before, after in pairwise(secs)]
        found += [gap for gap in gaps if gap < 1 / 7]
        found += [max(pair) for pair in pairwise(gaps) if max(pair) < 1 / 6]
    return found


def weak_trills(notes: list[Note], line: Timeline) -> list[float]:
    """Return when the fourth or fifth finger strikes again, the other between, both gaps under a sixth of a second."""
    last, found = {4: -9.0, 5: -9.0}, []
    for note in notes:
        if note.finger in last:
            sec, own, other = line.tick_to_sec(note.tick), last[note.finger], last[9 - note.finger]
            if own < other < sec and max(sec - other, other - own) + EPS < 1 / 6:
                found.append(sec)
            last[note.finger] = sec
    return found


@MANY
@given(**CASES)
def test_the_left_hand_repeats_no_key_too_soon(
    asked: tuple[Asked, ...], player: Player, line: Timeline
) -> None:
    """Whatever is asked, no key twice running over 7 a second nor three times over 6, with any fingers."""
    notes = settle(asked, player, line).notes
    assert not quick_repeats([(line.tick_to_sec(n.tick), n.pitch) for n in notes if n.hand is Hand.LEFT])


@MANY
@given(**CASES)
def test_no_trill_of_weak_fingers(asked: tuple[Asked, ...], player: Player, line: Timeline) -> None:
    """The fourth and fifth finger never strike in turn over 6 a second."""
    notes = settle(asked, player, line).notes
    for hand in Hand:
        assert not weak_trills([note for note in notes if note.hand is hand], line)


@MANY
@given(st.lists(st.tuples(st.integers(20, 400), st.sampled_from((33, 36, 40, 45))), min_size=2, max_size=30))
def test_live_the_same_holds(strokes: list[tuple[int, int]]) -> None:
    """Live too no left-hand key comes too soon."""
    guard, now = Guard(Player()), 0.0
    struck: list[tuple[float, int]] = []
    for gap_ms, pitch in strokes:
        now += gap_ms / 1000
        strike = Strike((pitch,), 80, Hand.LEFT, Role.SNARE, 240)
        struck += [(now, press.pitch) for press in guard.admit(strike, now, 0.2).presses]
    assert struck
    assert not quick_repeats(struck)


def test_live_a_held_low_note_is_let_go_and_a_close_one_left_out() -> None:
    """A1 held under E2 is let go; E2 in the same gesture as A1 is left out, with a line."""
    low = Strike((33,), 80, Hand.LEFT, Role.KICK, 960)
    fifth = Strike((40,), 80, Hand.LEFT, Role.COLOUR, 960)
    later, together = Guard(Player()), Guard(Player())
    later.admit(low, 0.0, 2.0)
    together.admit(low, 0.0, 2.0)
    assert (Hand.LEFT, 33) in later.admit(fifth, 0.5, 1.0).releases
    refused = together.admit(fifth, 0.01, 1.0)
    assert not refused.presses
    assert "too close" in refused.omissions[0].reason


def test_fast_kicks_take_turns_with_the_fifth() -> None:
    """Kicks at eight a second: little finger on the root, second finger on the fifth, softer; nothing is lost."""
    kicks = [
        Asked(
            at * 120,
            Strike((33,), 90, Hand.LEFT, Role.KICK, 120, until_next=True, fingers=(5,), second=40),
            (at,),
        )
        for at in range(6)
    ]
    notes = settle(kicks, Player(), Timeline.of(Metre(4, 4), 60, 2)).notes
    assert [note.pitch for note in notes] == [33, 40, 33, 40, 33, 40]
    assert [note.finger for note in notes] == [5, 2] * 3
    assert all(soft.velocity < loud.velocity for loud, soft in zip(notes[::2], notes[1::2], strict=True))
    assert all(one.end_tick <= other.tick for one, other in pairwise(notes))


@MANY
@given(hz=st.floats(7.5, 10.5), count=st.integers(3, 8), loud=st.integers(50, 127))
def test_quick_snares_take_three_keys_in_turn(hz: float, count: int, loud: int) -> None:
    """Snares too quick for two keys are all struck where the chord has a third one in reach; with two some are lost."""
    line = Timeline.of(Metre(4, 4), 120, 8)
    step = round(1920 / hz)

    def played(spare: int) -> list[int]:
        strike = Strike((48,), loud, Hand.LEFT, Role.SNARE, 120, fingers=(1,), second=43, spare=spare)
        asked = [Asked(index * step, strike, (index,)) for index in range(count)]
        return [note.pitch for note in settle(asked, Player(), line).notes]

    assert len(played(52)) >= len(played(-1))
    assert len(played(52)) == count
    assert set(played(52)) <= {43, 48, 52}


@MANY
@given(apart=st.integers(0, 50), gap=st.integers(200, 260))
def test_two_strokes_never_move_to_one_key(apart: int, gap: int) -> None:
    """A kick whose fifth is the snare's spare key takes it first; the snare goes elsewhere, never on top of it."""
    line = Timeline.of(Metre(4, 4), 120, 8)
    kick = Strike((43,), 70, Hand.LEFT, Role.KICK, 480, until_next=True, fingers=(5,), second=52)
    snare = Strike((48,), 70, Hand.LEFT, Role.SNARE, 120, fingers=(1,), second=43, spare=52)
    asked = [Asked(gap * i, kick, (2 * i,)) for i in range(3)]
    asked += [Asked(gap * i + apart, snare, (2 * i + 1,)) for i in range(3)]
    notes = settle(sorted(asked, key=lambda item: item.tick), Player(), line).notes
    assert not quick_repeats([(line.tick_to_sec(n.tick), n.pitch) for n in notes])
    assert any(n.pitch == 52 and n.role is Role.KICK for n in notes)
