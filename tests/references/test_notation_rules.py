"""Rhythms are written by the rules of notation.

Source: Elaine Gould, *Behind Bars* (2011), chapter "Metre", from memory. Offsets are ticks from the bar's start, 960 to
the quarter note.
"""

from __future__ import annotations

import pytest

from handgroove.metre import split
from handgroove.timeline import Metre

FOUR, THREE, SIX, SEVEN, FIVE = Metre(4, 4), Metre(3, 4), Metre(6, 8), Metre(7, 8), Metre(5, 4)


def lengths(metre: Metre, start: int, end: int, *, rest: bool = False) -> list[int]:
    """Return the written lengths, in ticks, of what fills *start* to *end*."""
    return [b - a for a, b in split(metre, start, end, rest)]


@pytest.mark.parametrize(
    ("metre", "start", "end", "expected"),
    [
        (FOUR, 0, 3840, [3840]),  # a whole note fills the bar
        (FOUR, 0, 2880, [2880]),  # a dotted half begins the bar
        (FOUR, 480, 1440, [960]),  # eighth, quarter, eighth inside the half bar
        (FOUR, 1440, 2400, [480, 480]),  # the middle of the bar is shown
        (FOUR, 960, 2880, [1920]),  # quarter, half, quarter is the known exception
        (FOUR, 480, 1920, [480, 960]),  # off the beat into the next: the beat is shown
        (FOUR, 960, 2400, [960, 480]),
        (FOUR, 240, 960, [720]),  # inside one beat anything may stand
        (FOUR, 720, 1440, [240, 480]),  # a sixteenth before the beat is tied over it
        (FOUR, 0, 3360, [1920, 1440]),  # seven eighths show the half bar
        (THREE, 960, 2880, [1920]),  # a half note on the second beat of three
        (THREE, 480, 2400, [480, 1440]),  # no half note off the beat
        (SIX, 0, 2880, [2880]),
        (SIX, 960, 1920, [480, 480]),  # the two groups of six-eight are shown
        (SIX, 480, 1440, [960]),
        (SEVEN, 480, 1440, [480, 480]),  # two and two and three
        (SEVEN, 1920, 3360, [1440]),
        (FIVE, 1920, 3840, [1920]),
    ],
)
def test_notes_show_the_metre(metre: Metre, start: int, end: int, expected: list[int]) -> None:
    """Notes are tied where they would hide the middle of the bar, a group, or a beat."""
    assert lengths(metre, start, end) == expected


@pytest.mark.parametrize(
    ("metre", "start", "end", "expected"),
    [
        (FOUR, 0, 1920, [1920]),  # a half rest on the first or third beat
        (FOUR, 1920, 3840, [1920]),
        (FOUR, 960, 2880, [960, 960]),  # none across the middle
        (FOUR, 960, 3840, [960, 1920]),
        (FOUR, 480, 1920, [480, 960]),  # the rest of a beat is filled first
        (FOUR, 240, 960, [240, 480]),  # no dotted rests in simple time
        (FOUR, 0, 720, [480, 240]),
        (THREE, 0, 1920, [960, 960]),  # no half rest in three
        (SIX, 0, 1440, [1440]),  # a dotted quarter rest is a whole beat of six-eight
        (SIX, 480, 1440, [480, 480]),  # the second and third eighth are two rests
        (SIX, 0, 960, [960]),
        (SEVEN, 0, 1920, [960, 960]),
    ],
)
def test_rests_show_the_beats(metre: Metre, start: int, end: int, expected: list[int]) -> None:
    """Rests are cut at the beats, and not dotted in simple time."""
    assert lengths(metre, start, end, rest=True) == expected


@pytest.mark.parametrize(
    "metre", [FOUR, THREE, SIX, SEVEN, FIVE, Metre(2, 4), Metre(12, 8), Metre(2, 2), Metre(5, 8)]
)
def test_every_span_is_filled(metre: Metre) -> None:
    """Whatever stands in a bar, its pieces are plain values that join without gap or overlap."""
    plain = {240 * n for n in (1, 2, 3, 4, 6, 8, 12, 16, 24)} | {120, 360}
    step = 120 if metre.bar_ticks <= 3840 else 240
    for start in range(0, metre.bar_ticks, step):
        for end in range(start + step, metre.bar_ticks + 1, step):
            for rest in (False, True):
                pieces = split(metre, start, end, rest)
                assert [a for a, _ in pieces] == [start, *(b for _, b in pieces[:-1])]
                assert pieces[-1][1] == end
                assert {b - a for a, b in pieces} <= plain, (start, end, pieces)
