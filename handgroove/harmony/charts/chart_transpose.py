"""A whole chart transposed: every chord moves by the same written interval."""

from __future__ import annotations

from dataclasses import replace

from handgroove.harmony.charts.chart_key import chart_key
from handgroove.harmony.charts.chart_model import Chart, ChartBar
from handgroove.harmony.symbols.chord_model import Key
from handgroove.harmony.symbols.transpose import Interval, key_interval, move_chord


def transpose_chart(chart: Chart, semitones: int) -> Chart:
    """Return *chart* moved by *semitones* (up or down), spelled for its new key."""
    if semitones % 12 == 0:
        return chart
    home = chart.key or chart_key(chart)
    interval = key_interval(home, semitones)
    key = Key(interval.above(home.tonic), home.minor) if chart.key else None
    bars = tuple(_move_bar(bar, interval) for bar in chart.bars)
    pickup = _move_bar(chart.pickup, interval) if chart.pickup else None
    return replace(chart, bars=bars, pickup=pickup, key=key)


def _move_bar(bar: ChartBar, interval: Interval) -> ChartBar:
    """Return *bar* with its chords moved up by *interval*."""
    moved = tuple(
        replace(placed, chord=move_chord(placed.chord, interval)) if placed.chord else placed
        for placed in bar.chords
    )
    return replace(bar, chords=moved)
