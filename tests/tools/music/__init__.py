"""How musical the parts are, counted over a folder of takes: ``python -m tests.tools.bench music FOLDER``.

To add a measure, write it in a file of its own beside `heard.py` and add one row to `MEASURES` (counted take by take
and added up) or to `MATCHES` (asked of all takes together). A measure asks the finished part, never what was planned;
and none is of use that a trivial answer would also meet.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tests.tools.music import figures
from tests.tools.music.heard import Count, Heard, Match

Measure = Callable[[Heard], Count]

MEASURES: dict[str, tuple[Measure, str]] = {  # name: (what counts it, what is aimed at)
    "figures that trill": (figures.count_trills, "none"),
    "figures' accents on chord tones": (figures.count_accents, "95%"),
    "figures that go as the drums do": (figures.count_contours, "most"),
    "figures' landings reached by step": (figures.count_joins, "90%"),
    "figures of which untrue things are said": (figures.count_untruths, "none"),
}
MATCHES: dict[str, tuple[Callable[[Sequence[Heard]], Match], str]] = {}
