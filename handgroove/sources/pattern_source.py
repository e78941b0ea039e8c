"""A pattern as a source: its own groove, repeated."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from handgroove.patterns import list_patterns, read_pattern

if TYPE_CHECKING:
    from handgroove.groove.hits import Groove
    from handgroove.harmony.chart import Chart
    from handgroove.patterns import Pattern
    from handgroove.sources.readers import ReadOptions

USUAL_BARS = 8  # two phrases of four, where neither an option nor a chart says how many


def names_pattern(source: str) -> bool:
    """Return whether *source* names a pattern, and not a file.

    A folder that bears a pattern's name does not hide the pattern: the last run wrote there.
    """
    path = Path(source)
    if path.is_dir():
        return source.strip().lower().replace(" ", "-") in list_patterns()
    return not (path.exists() or path.suffix)


def read_pattern_groove(source: str, options: ReadOptions, chart: Chart | None) -> tuple[Groove, Pattern]:
    """Return the groove of the pattern *source*, and the pattern."""
    pattern = read_pattern(source)
    bars = options.bars
    if bars == 0:
        bars = len(chart.bars) if chart else USUAL_BARS
    return pattern.groove(bars, tempo_bpm=options.tempo_bpm or None), pattern
