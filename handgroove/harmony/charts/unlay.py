"""A harmony written out as a chart again: what was recognised in a file becomes something that a player can read.

Changes of chord are put on the nearest eighth of their bar; what lasts less is left out.
"""

from __future__ import annotations

from handgroove.harmony.charts.chart_model import Chart, ChartBar, ChartChord, Harmony
from handgroove.timeline import Bar, Timeline

_GRID_TICKS = 480


def make_chart(harmony: Harmony, timeline: Timeline, title: str = "") -> Chart:
    """Return *harmony* as a chart over *timeline*'s full bars, with its key, metre, tempo and sections."""
    bars = [bar for bar in timeline.bars() if bar.number > 0]
    names = {timeline.bar_at(marker.tick).number: marker.text for marker in harmony.sections}
    metre = bars[0].metre if bars else timeline.metre_at(0)
    written, before = [], metre
    for bar in bars:
        changed = bar.metre if bar.metre != before else None
        written.append(ChartBar(_bar_chords(harmony, bar), changed, names.get(bar.number, "")))
        before = bar.metre
    tempo_bpm = round(timeline.tempo_at(0), 1)
    return Chart(tuple(written), title, harmony.key, metre, tempo_bpm)


def _bar_chords(harmony: Harmony, bar: Bar) -> tuple[ChartChord, ...]:
    """Return the chords that sound in *bar*, each on the nearest eighth."""
    chords: dict[int, ChartChord] = {}
    for index in range(harmony.index_at(bar.start_tick), len(harmony.spans)):
        span = harmony.spans[index]
        if span.start_tick >= bar.end_tick:
            break
        offset = round(max(0, span.start_tick - bar.start_tick) / _GRID_TICKS) * _GRID_TICKS
        if offset < bar.metre.bar_ticks:
            chords[offset] = ChartChord(offset, span.chord, 0, span.cue)
    return tuple(chords[offset] for offset in sorted(chords))
