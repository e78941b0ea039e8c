"""The measures of the low end can fail, and can hold."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from handgroove import read_groove
from handgroove.desk.desk import Desk
from handgroove.harmony.chart import parse_chart
from handgroove.part import Note, PedalMove
from handgroove.strike import Hand, Role
from tests.tools.music.heard import Heard
from tests.tools.music.low_end import (
    count_deep_roots,
    count_mud,
    count_mud_by_keys,
    count_octaves,
    count_repeats,
    count_weak_trills,
)
from tests.tools.test_bench import DEMO


@lru_cache(maxsize=1)
def _desk() -> Desk:
    return Desk(read_groove(DEMO / "lantern-street-drums.mid"), parse_chart("| Am7 |"))


def heard(*notes: tuple[int, int, int, int], pedal: tuple[PedalMove, ...] = ()) -> Heard:
    """Return a take of left-hand kicks: each a tick, a length in ticks, a pitch and a finger."""
    made = tuple(
        Note(tick, length, pitch, 80, Hand.LEFT, Role.KICK, finger) for tick, length, pitch, finger in notes
    )
    take = Heard("made", _desk())
    take.__dict__["part"] = replace(_desk().part, notes=made, pedal=pedal)
    return take


def test_mud_is_counted_by_keys_and_under_the_pedal() -> None:
    """A1 held into E2 is mud; let go it is none, but for a pedal that holds it; A2 above A1 is clear."""
    apart = ((0, 240, 33, 5), (480, 240, 40, 2))
    assert count_mud_by_keys(heard((0, 960, 33, 5), (480, 240, 40, 2))).found == 1
    assert count_mud_by_keys(heard(*apart)).found == count_mud(heard(*apart)).found == 0
    assert count_mud(heard(*apart, pedal=(PedalMove(60, True), PedalMove(900, False)))).found == 1
    assert count_mud(heard((0, 960, 33, 5), (480, 240, 45, 1))).found == 0


def test_quick_repeats_are_counted_by_key() -> None:
    """One key eight times a second counts; in turn with another it does not."""
    sixteenth = 960 * 60 // round(60 * _desk().part.timeline.tick_to_sec(960) * 8)  # an eighth of a second
    assert count_repeats(heard(*((at * sixteenth, 20, 33, 5) for at in range(3)))).found == 2
    assert count_repeats(heard(*((at * sixteenth, 20, 33 + at % 2 * 7, 5) for at in range(3)))).found == 0


def test_weak_trills_are_of_the_fourth_and_fifth_finger() -> None:
    """Fourth and fifth finger in turn count where they are quick; second and fifth do not."""
    quick = [(at * 60, 20, 45 - at % 2 * 2, 4 + at % 2) for at in range(5)]
    assert count_weak_trills(heard(*quick)).found == 3
    assert count_weak_trills(heard(*((a * 8, b, c, d) for a, b, c, d in quick))).found == 0
    assert count_weak_trills(heard(*((a, b, c, 2 if d == 4 else 5) for a, b, c, d in quick))).found == 0


def test_roots_in_two_octaves_and_below_e1() -> None:
    """A1 and once A2 is one odd root; A0 lies below E1; the thumb of a low octave stands for no root."""
    two = heard((0, 90, 33, 5), (480, 90, 33, 5), (960, 90, 45, 5))
    assert (count_octaves(two).found, count_deep_roots(two).found) == (1, 0)
    assert count_octaves(heard((0, 90, 33, 5), (0, 90, 45, 1), (480, 90, 33, 5))).found == 0
    assert count_deep_roots(heard((0, 90, 21, 5))).found == 1
