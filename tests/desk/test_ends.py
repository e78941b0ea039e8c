from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.desk.ends import SHORTEST_TICKS, STOP_HOLD_TICKS, set_ends
from handgroove.harmony.chart import Harmony
from handgroove.strike import Asked, Hand, Role, Strike
from tests.harmony.made_charts import laid


def asked(tick: int, length: int, pitch: int, role: Role = Role.COMPING, place: int | None = None) -> Asked:
    """Return a strike of one note for the right hand."""
    return Asked(tick, Strike((pitch,), 80, Hand.RIGHT, role, length), place=place)


def ends(items: list[Asked], harmony: Harmony, late_ticks: int = 0) -> list[int]:
    """Return where each of *items* ends when the player is *late_ticks* behind."""
    done = set_ends(items, harmony, lambda place: place + late_ticks, 99_999)
    return [item.ends[0] if item.ends else item.tick + item.strike.hold_ticks for item in done]


def test_foreign_notes_let_go_at_the_change() -> None:
    """An E held into Db ends where Db begins; a Db held into F ends there; a pushed bass note stays."""
    held = [asked(0, 5000, 64), asked(3840, 9000, 61), asked(3360, 960, 61)]
    assert ends(held, laid("| C | Db | F |")) == [3840, 7680, 4320]


def test_the_change_is_where_the_player_plays_it() -> None:
    """A drummer who drags by 50 ticks changes chord 50 ticks late, and the old chord rings till then."""
    assert ends([asked(40, 5000, 64)], laid("| C | Db |"), late_ticks=50) == [3890]


def test_a_stroke_played_early_rings_in_the_chord_that_it_was_meant_in() -> None:
    """A Db that is played 60 ticks before its bar line is the new chord's, and is not ended there."""
    assert ends([asked(3780, 960, 61, place=3840)], laid("| C | Db |")) == [4740]


def test_a_stroke_played_after_its_chord_has_gone_is_short() -> None:
    """The last sixteenth of C, played late, after the Db has come, is a short note and not a vanished one."""
    assert ends([asked(3850, 480, 64, place=3600)], laid("| C | Db |")) == [3850 + SHORTEST_TICKS]


def test_a_note_of_both_chords_is_held_over() -> None:
    """A common tone may sound on, to where it becomes foreign; the others of its chord end before."""
    harmony = laid("| C | Am | Bb |")
    assert ends([asked(0, 11000, 60)], harmony) == [7680]
    (triad,) = set_ends(
        [Asked(0, Strike((60, 64, 67), 80, Hand.RIGHT, Role.COMPING, 5000))], harmony, int, 99_999
    )
    assert triad.ends == (5000, 5000, 3840)


@given(st.sampled_from([(-1, -1), (67, -1), (67, 64), (69, 64), (64, 69)]))
def test_a_stroke_that_may_move_ends_where_any_of_its_keys_leaves(keys: tuple[int, int]) -> None:
    """A C that may be struck on G or E instead is let go at Am where G is none of its keys."""
    strike = Strike((60,), 80, Hand.LEFT, Role.SNARE, 5000, second=keys[0], spare=keys[1])
    assert ends([Asked(0, strike)], laid("| C | Am |")) == [3840 if 67 in keys else 5000]


def test_a_given_tune_is_left_alone() -> None:
    """A tune may hang over as it likes, where its role is free."""
    tune = [asked(0, 5000, 64, Role.MELODY)]
    assert set_ends(tune, laid("| C | Db |"), int, 99_999, free=(Role.MELODY,)) == tune


def test_a_stop_is_short_and_then_silent() -> None:
    """What is struck in a stop is short; over N.C. nothing is held."""
    held = [asked(0, 3840, 60), asked(3840, 5000, 65)]
    assert ends(held, laid("| C! | F | N.C. |")) == [STOP_HOLD_TICKS, 7680]


NOTES = st.lists(st.tuples(st.integers(0, 15000), st.integers(1, 6000), st.integers(24, 84)), max_size=30)


@given(NOTES, st.integers(-60, 60))
@settings(max_examples=60, deadline=None)
def test_notes_never_vanish_and_hardly_grow(raw: list[tuple[int, int, int]], late: int) -> None:
    """Lengths never vanish, and never grow."""
    items = [asked(*one) for one in raw]
    for item, end in zip(items, ends(items, laid("| C | >F G7! | N.C. Db | E |"), late), strict=True):
        assert item.tick < end <= item.tick + item.strike.hold_ticks


def test_nothing_sounds_on_in_a_silence() -> None:
    """What is struck before a silence ends with it, a given tune too; what comes after it is free of it."""
    items = [
        asked(0, 5000, 60),
        asked(100, 5000, 60, Role.MELODY),
        asked(1000, 500, 60),
        asked(1001, 500, 60),
    ]
    done = set_ends(items, laid("| C | C |"), int, 99_999, free=(Role.MELODY,), silences=(1000, 1400))
    assert [item.ends[0] if item.ends else item.tick + item.strike.hold_ticks for item in done] == [
        1000,
        1000,
        1400,
        1400,
    ]
