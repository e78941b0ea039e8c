"""How musical the parts are, counted over a folder of takes: ``python -m tests.tools.bench music FOLDER``.

To add a measure, write it in a file of its own beside `heard.py` and add one row to `MEASURES` (counted take by take
and added up) or to `MATCHES` (asked of all takes together). A measure asks the finished part, never what was planned;
and none is of use that a trivial answer would also meet.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tests.tools.music import steps
from tests.tools.music.heard import Count, Heard, Match

Measure = Callable[[Heard], Count]

MEASURES: dict[str, tuple[Measure, str]] = {**steps.MEASURES}  # name: (what counts it, what is aimed at)
MATCHES: dict[str, tuple[Callable[[Sequence[Heard]], Match], str]] = {}
