"""Messages as bytes."""

from __future__ import annotations

import pytest

from handgroove.live.core.messages import is_note_off, is_note_on, is_whole
from tests.live.song_position import song_position


def test_a_note_on_with_velocity_0_is_a_note_off() -> None:
    """Running-status senders end notes with a note-on of velocity 0."""
    assert is_note_off((0x90, 60, 0))
    assert not is_note_on((0x90, 60, 0))


@pytest.mark.parametrize(
    "message",
    [(0x90, 60, 1), (0xC3, 5), (0xF8,), (0xFE,), (0xF0, 1, 2, 0xF7), (0xF2, 0, 0), (0xF6,), (0xE0, 0, 64)],
)
def test_lawful_messages_are_whole(message: tuple[int, ...]) -> None:
    """Each kind of message has its number of data bytes."""
    assert is_whole(message)


@pytest.mark.parametrize(
    "message", [(), (60,), (0x90, 60), (0x90, 60, 200), (0xF8, 1), (0xF0, 1), (0xF4,), (0xC0, 1, 2), (300,)]
)
def test_broken_messages_are_not(message: tuple[int, ...]) -> None:
    """Too few, too many or too large bytes make no message."""
    assert not is_whole(message)


def test_song_position_stays_within_fourteen_bits() -> None:
    """A position past the greatest is sent as the greatest."""
    assert song_position(99_999) == (0xF2, 0x7F, 0x7F)
