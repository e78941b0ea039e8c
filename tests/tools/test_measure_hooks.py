"""Measures of hooks: each can hold, and fails of hooks that are made badly on purpose."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from handgroove.desk.desk import Desk
from handgroove.groove.hits import Groove
from handgroove.harmony.chart import parse_chart
from tests.figures.test_hook import Made, make_rows
from tests.tools.music import hooks
from tests.tools.music.heard import Heard
from tests.tools.music.hooks import (
    Hook,
    choose_hooks,
    correlate_loudness,
    count_distinct,
    count_own,
    find_hook,
)

COUNT = 8


def heard(seed: int) -> Heard:
    """Return a made take of eight bars."""
    groove: Groove = Made((make_rows(seed),) * 4).known.groove
    return Heard(f"made_{seed}_beat_4-4", Desk(groove, parse_chart("| Am7 |")))


@pytest.fixture(scope="module")
def made() -> list[Hook]:
    """Return the hooks of some made takes."""
    return choose_hooks([heard(seed) for seed in range(COUNT)])


def dull(found: Sequence[Hook]) -> list[Hook]:
    """Return the same three notes, equally loud, over everybody's drums."""
    notes = ((0, 69, 80), (1440, 67, 72), (2880, 64, 72))
    return [replace(hook, notes=notes, played=tuple((drum, 80) for drum, _ in hook.played)) for hook in found]


def test_good_hooks_hold(made: list[Hook]) -> None:
    """Hooks of these drums are all different, as loud as the drums, and nearest to their own."""
    assert count_distinct(made).found == len(made) == COUNT
    assert correlate_loudness(made).found > 0.95
    assert count_own(made).found >= COUNT - 1


def test_dull_hooks_fail(made: list[Hook]) -> None:
    """One hook for all is one idea, correlates with nothing and finds hardly any drums of its own."""
    assert count_distinct(dull(made)).found == 1
    assert correlate_loudness(dull(made)).found == 0
    assert count_own(dull(made)).found <= 2


def test_hooks_over_others_drums_fail(made: list[Hook]) -> None:
    """Hooks that are all different, but made of other takes' drums, don't find the drums beside them."""
    swapped = [
        replace(hook, notes=other.notes) for hook, other in zip(made, [*made[1:], made[0]], strict=True)
    ]
    assert count_distinct(swapped).found == COUNT
    assert count_own(swapped).found <= 2


def test_second_bar_without_repeat_is_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    """A second bar in another rhythm is counted; the hook's own is not."""
    take = heard(1)
    own = find_hook(take, 2)
    assert own is not None
    assert hooks.two_bars_without_repeat(take).found == 0
    second = tuple((own.bar_ticks + 120 + at, pitch, 80) for at, pitch in own.bar(0))
    bad = replace(own, notes=(*[note for note in own.notes if note[0] < own.bar_ticks], *second))
    monkeypatch.setattr(hooks, "find_hook", lambda *_: bad)
    assert hooks.two_bars_without_repeat(take).found == 1


def test_candidates_alike_are_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    """A candidate that is there twice is counted; the five that are found are not."""
    take = heard(2)
    own = find_hook(take)
    assert own is not None
    assert hooks.candidates_alike(take).found == 0
    twice = replace(own, candidates=(own.candidates[0], *own.candidates))
    monkeypatch.setattr(hooks, "find_hook", lambda *_: twice)
    assert hooks.candidates_alike(take).found == 1
