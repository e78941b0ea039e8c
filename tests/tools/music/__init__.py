"""How musical the parts are, counted over a folder of takes: ``python -m tests.tools.bench music FOLDER``.

To add a measure, write it in a file of its own beside `heard.py` and add one row to `MEASURES` (counted take by take
and added up) or to `MATCHES` (asked of all takes together). A measure asks the finished part, never what was planned;
and none is of use that a trivial answer would also meet.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tests.tools.music import steps
from tests.tools.music.heard import Count, Heard, Match
from tests.tools.music.hooks import (
    candidates_alike,
    distinct_ideas,
    find_own_drums,
    loud_as_drums,
    two_bars_without_repeat,
)
from tests.tools.music.low_line import broken_pushes, broken_stops, line_faults, no_root_other, no_root_swung

Measure = Callable[[Heard], Count]

MEASURES: dict[str, tuple[Measure, str]] = {  # name: (what counts it, what is aimed at)
    **steps.MEASURES,
    "two-bar hooks that do not repeat themselves": (two_bars_without_repeat, "0"),
    "hooks and plainer answers that sound alike": (candidates_alike, "0"),
    "swung bars without a low root": (no_root_swung, "at most 1 in 8"),
    "waltz, 12/8 and Latin bars without one": (no_root_other, "at most 1 in 8"),
    "low notes of swung takes in leaps or mud": (line_faults, "at most 1 %"),
    "stops broken": (broken_stops, "none"),
    "pushes broken": (broken_pushes, "none"),
}
MATCHES: dict[str, tuple[Callable[[Sequence[Heard]], Match], str]] = {
    "different hooks over one chord": (distinct_ideas, "15 of 22"),
    "loudness of hooks and drums, correlated": (loud_as_drums, "over 0.5"),
    "hooks that find their own drums": (find_own_drums, "15 of 22"),
}
