"""The laws of meant strokes by name, each a function from a take to a verdict.

They ask the public API and the page alone. What a law leaves out stands in its docstring.
"""

from __future__ import annotations

from collections.abc import Callable

from tests.laws.chords import judge_changes, judge_pedal, judge_push, judge_ring, judge_spelling
from tests.laws.steady import judge_fill, judge_looseness, judge_same, judge_shift
from tests.laws.verdict import Take, Verdict
from tests.laws.whole import judge_bars, judge_hands, judge_told

LAWS: dict[str, Callable[[Take], Verdict]] = {
    "shift": judge_shift,
    "looseness": judge_looseness,
    "changes": judge_changes,
    "push": judge_push,
    "ring": judge_ring,
    "pedal": judge_pedal,
    "bars": judge_bars,
    "same": judge_same,
    "told": judge_told,
    "hands": judge_hands,
    "spelling": judge_spelling,
    "fill": judge_fill,
}
