from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.desk.chord_ends import STOP_HOLD_TICKS, end_with_chords
from handgroove.part import Note
from handgroove.strike import Hand, Role
from tests.harmony.made_charts import laid


def note(tick: int, length: int, pitch: int, role: Role = Role.COMPING) -> Note:
    """Return a note of the right hand."""
    return Note(tick, length, pitch, 80, Hand.RIGHT, role)


def test_foreign_notes_let_go_at_the_change() -> None:
    """An E held into Db ends where Db begins; a C held into F stays; a pushed bass note stays."""
    harmony = laid("| C | Db | F |")
    held = [note(0, 5000, 64), note(1920, 9000, 61), note(3360, 960, 61)]
    assert [n.end_tick for n in end_with_chords(held, harmony)] == [3840, 7680, 4320]


def test_a_note_of_both_chords_is_held_over() -> None:
    """A common tone may sound on, to where it becomes foreign."""
    harmony = laid("| C | Am | Bb |")
    assert [n.end_tick for n in end_with_chords([note(0, 11000, 60)], harmony)] == [7680]


def test_a_melody_is_left_alone() -> None:
    """A tune may hang over as it likes."""
    tune = [note(0, 5000, 64, Role.MELODY)]
    assert end_with_chords(tune, laid("| C | Db |")) == tuple(tune)


def test_a_stop_is_short_and_then_silent() -> None:
    """What is struck in a stop is short; over N.C. nothing is held."""
    harmony = laid("| C! | F | N.C. |")
    held = [note(0, 3840, 60), note(3840, 5000, 65)]
    assert [n.end_tick for n in end_with_chords(held, harmony)] == [STOP_HOLD_TICKS, 7680]


NOTES = st.lists(st.tuples(st.integers(0, 15000), st.integers(1, 6000), st.integers(24, 84)), max_size=30)


@given(NOTES)
@settings(max_examples=60, deadline=None)
def test_notes_only_get_shorter(raw: list[tuple[int, int, int]]) -> None:
    """Pitch and start stay, lengths never grow and never vanish."""
    notes = [note(*one) for one in raw]
    for before, after in zip(
        notes, end_with_chords(notes, laid("| C | >F G7! | N.C. Db | E |")), strict=True
    ):
        assert (before.tick, before.pitch) == (after.tick, after.pitch)
        assert 1 <= after.length_ticks <= before.length_ticks
