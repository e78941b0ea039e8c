"""How musical the parts are, counted over a folder of takes: ``python -m tests.tools.bench music FOLDER``.

To add a measure, write it in a file of its own beside `heard.py` and add one row to `MEASURES` (counted take by take
and added up) or to `MATCHES` (asked of all takes together). A measure asks the finished part, never what was planned;
and none is of use that a trivial answer would also meet.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tests.tools.music.heard import Count, Heard, Match
from tests.tools.music.low_end import (
    count_deep_roots,
    count_mud,
    count_mud_by_keys,
    count_octaves,
    count_repeats,
    count_weak_trills,
)

Measure = Callable[[Heard], Count]

# name: (what counts it, what is aimed at)
MEASURES: dict[str, tuple[Measure, str]] = {
    "muddy pairs, by keys": (count_mud_by_keys, "0"),
    "muddy pairs, pedal included": (count_mud, "0"),
    "left-hand keys repeated too fast": (count_repeats, "0"),
    "trills on fourth and fifth finger": (count_weak_trills, "0"),
    "roots in another octave": (count_octaves, "0"),
    "roots below E1": (count_deep_roots, "0"),
}
MATCHES: dict[str, tuple[Callable[[Sequence[Heard]], Match], str]] = {}
