"""The note ledger."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from handgroove.live.core.ledger import Ledger


def test_a_second_stroke_on_a_key_ends_the_first() -> None:
    """A key that sounds is let go before it is struck again."""
    ledger = Ledger()
    first, _ = ledger.begin(0, 60, 80, "kick")
    second, _ = ledger.begin(0, 60, 90, "snare")
    assert first == [(0x90, 60, 80)]
    assert second == [(0x80, 60, 0), (0x90, 60, 90)]


def test_the_end_of_an_earlier_stroke_does_nothing_to_a_later_one() -> None:
    """A planned end whose stroke was cut short finds its token gone."""
    ledger = Ledger()
    _, early = ledger.begin(0, 60, 80, "kick")
    _, late = ledger.begin(0, 60, 80, "kick")
    assert ledger.end(early) == []
    assert ledger.end(late) == [(0x80, 60, 0)]
    assert ledger.end(late) == []


def test_one_owner_s_notes_end_alone() -> None:
    """Ending what a failed translator began leaves the others sounding."""
    ledger = Ledger()
    ledger.begin(0, 60, 80, "good")
    ledger.begin(0, 64, 80, "bad")
    assert ledger.end_where(lambda note: note.owner == "bad") == [(0x80, 64, 0)]
    assert [note.pitch for note in ledger.sounding()] == [60]


def test_ending_everything_sends_note_offs_then_pedals_then_all_notes_off() -> None:
    """At a stop each note-off goes first, pedals come up, and All Notes Off (CC 123) is only the last resort."""
    ledger = Ledger()
    ledger.begin(0, 60, 80, "kick")
    ledger.move_pedal(0, 64, 127)
    ledger.move_pedal(0, 66, 127)
    assert ledger.end_all() == [(0x80, 60, 0), (0xB0, 64, 0), (0xB0, 66, 0), (0xB0, 123, 0)]
    assert ledger.end_all() == []


def test_a_pedal_that_came_up_is_not_released_again() -> None:
    """Only pedals that are down are released at the end."""
    ledger = Ledger()
    ledger.move_pedal(3, 64, 90)
    ledger.move_pedal(3, 64, 0)
    assert ledger.end_all() == []


@given(
    st.lists(
        st.one_of(
            st.tuples(st.just("begin"), st.integers(0, 1), st.integers(60, 64)),
            st.tuples(st.just("end"), st.integers(0, 30), st.just(0)),
            st.tuples(st.just("all"), st.just(0), st.just(0)),
        )
    )
)
def test_whatever_happens_each_note_on_gets_one_note_off(steps: list[tuple[str, int, int]]) -> None:
    """Begins, ends and stale ends in any order: note-ons and note-offs of each key take turns, and end even."""
    ledger = Ledger()
    sent: list[tuple[int, ...]] = []
    for kind, first, second in steps:
        if kind == "begin":
            sent += ledger.begin(first, second, 80, "any")[0]
        elif kind == "end":
            sent += ledger.end(first)
        else:
            sent += ledger.end_all()
    sent += ledger.end_all()
    sounding: set[tuple[int, int]] = set()
    for message in sent:
        key = (message[0] & 0x0F, message[1])
        if message[0] & 0xF0 == 0x90:
            assert key not in sounding
            sounding.add(key)
        elif message[0] & 0xF0 == 0x80:
            assert key in sounding
            sounding.remove(key)
    assert not sounding
    assert ledger.begun == ledger.ended
