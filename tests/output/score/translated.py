"""Real parts for the score's tests: shipped patterns over charts of our own."""

from __future__ import annotations

from functools import cache

from handgroove.harmony.chart import parse_chart
from handgroove.job import translate
from handgroove.part import Part
from handgroove.patterns import list_patterns, read_pattern

CHARTS = {
    "minor": "| Am7 | Fmaj7 | C | G/B |",
    "flats": "| Cm7 | F7 | Bbmaj7 | Ebmaj7 | Am7b5 | D7 | Gm | Gm |",
    "sharps": "| F#m7 | B7 | E | C#7 |",
    "colours": "| Dm9 | G13 | Cmaj9 | A7b9 | N.C. | F6 F#dim | Gsus4 | C |",
}


def pattern_names() -> list[str]:
    """Return the names of the shipped patterns."""
    return [str(getattr(pattern, "name", pattern)) for pattern in list_patterns()]


@cache
def translated(pattern_name: str, chart_name: str, bars: int = 8) -> Part:
    """Return the part of a pattern over one of the CHARTS."""
    pattern = read_pattern(pattern_name)
    return translate(pattern.groove(bars), parse_chart(CHARTS[chart_name]), pattern)
