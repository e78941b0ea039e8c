"""Helpers for the tests of harmony: charts laid over a plain timeline."""

from __future__ import annotations

from handgroove.harmony.chart import Harmony, lay_chart, parse_chart
from handgroove.timeline import Metre, Timeline

CHANGES = (
    "| Dm7 G7 | Cmaj7 A7b9 | Fmaj7 Bm7b5 | E7alt Am9 | D7 G13 | Ebmaj7 Ab7 | Dbmaj7 Gb7 | C6/9 F7 |"
    "| Am F | C G/B | Csus4 C/E | F#dim7 B5 | E E7#9 | N.C. Am | D//C Gm11 | Caug F#m7b5 |"
)


def laid(text: str, bars: int | None = None, metre: Metre | None = None) -> Harmony:
    """Return the chart in *text* laid over as many bars as it has, or over *bars*."""
    chart = parse_chart(text)
    return lay_chart(chart, Timeline.of(metre or chart.metre or Metre(4, 4), 120, bars or len(chart.bars)))
