"""The screen."""

from __future__ import annotations

import re
from typing import Any

import pytest

from handgroove.live.beside.big_type import GLYPHS, ROWS, big, width
from handgroove.live.beside.screen import draw, note_name

_VIEW: dict[str, Any] = {
    "tempo": 120.0,
    "playing": True,
    "bar": 12,
    "beat": 3,
    "chord": "F#m7b5",
    "next_chord": "B7",
    "pattern": "straight-eighths",
    "section": "bridge",
    "waiting": ["pattern swing-ride"],
    "hands": "left",
    "left": [33],
    "right": [],
    "volume": 90,
    "transpose": -2,
    "clock": "following clock in",
    "delay_ms": 0.12,
    "hits": 40,
    "left_out": 2,
    "news": ["drums: the pads has gone"],
}


def _plain(lines: list[str]) -> list[str]:
    return [re.sub(r"\x1b\[[0-9;]*m", "", line) for line in lines]


def test_every_letter_has_five_rows_of_one_width() -> None:
    """Big letters line up."""
    for letter, rows in GLYPHS.items():
        assert len(rows) == ROWS, letter
        assert len({len(row) for row in rows}) == 1, letter


def test_chord_symbols_can_be_spelled() -> None:
    """All that chord symbols are made of has a big letter."""
    assert set("ABCDEFG#b0123456789mMajdimsuo/()+-° ") - set(GLYPHS) == set()


def test_the_count_and_the_chord_are_in_big_type() -> None:
    """The chord fills five lines; a player two metres away reads it."""
    lines = _plain(draw(_VIEW, 100, 40))
    assert any(big("F#m7b5")[0].rstrip() in line for line in lines)
    assert lines[0].startswith(big("12:3")[0])


def test_the_facts_are_there() -> None:
    """Pattern, section, what comes next, hands, transposition, clock, delay and news."""
    text = "\n".join(_plain(draw(_VIEW, 100, 40)))
    for words in (
        "straight-eighths   bridge   next: pattern swing-ride",
        "→ B7",
        "the left hand only",
        "transposed -2",
        "following clock in",
        "left A1",
        "answer 0.12 ms",
        "left out 2",
        "drums: the pads has gone",
    ):
        assert words in text


@pytest.mark.parametrize(("columns", "rows"), [(100, 40), (60, 20), (30, 10), (10, 3)])
def test_it_fits_every_terminal(columns: int, rows: int) -> None:
    """No line is wider or lower than the terminal, however small."""
    lines = _plain(draw(_VIEW, columns, rows))
    assert len(lines) <= rows
    assert max(map(len, lines)) <= columns


def test_names_of_notes() -> None:
    """Middle C is C4."""
    assert [note_name(pitch) for pitch in (60, 33, 70)] == ["C4", "A1", "Bb4"]
    assert width("") == 0
