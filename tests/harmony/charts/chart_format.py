"""Charts written: a head, then bars in playing order, four to a line, so that reading gives the same chart back."""

from __future__ import annotations

from math import gcd

from handgroove.harmony.charts.chart_head import format_feel
from handgroove.harmony.charts.chart_items import EIGHTH_TICKS, SIXTEENTH_TICKS, shares
from handgroove.harmony.charts.chart_model import Chart, ChartBar, ChartChord, Cue
from handgroove.timeline import Metre

BARS_A_LINE = 4
_NO_BRACKETS = str.maketrans("[]", "()")


def format_chart(chart: Chart) -> str:
    """Return *chart* as text in our own grammar."""
    metre = chart.metre or Metre(4, 4)
    lines = _head_lines(chart, metre)
    row: list[str] = []
    before: ChartBar | None = None
    for bar in chart.bars:
        section = _one_line(bar.section).translate(_NO_BRACKETS)
        if row and (section or len(row) == BARS_A_LINE):
            lines.append(f"| {' | '.join(row)} |")
            row = []
        if section:
            lines += ["", f"[{section}]"]
        mark = f"{bar.metre} " if bar.metre else ""
        metre = bar.metre or metre
        same = before is not None and bar.metre is None and bar.chords == before.chords and not section
        row.append("%" if same else mark + _format_bar(bar, metre))
        before = bar
    if row:
        lines.append(f"| {' | '.join(row)} |")
    return "\n".join(lines).lstrip("\n") + "\n"


def _one_line(text: str) -> str:
    """Return *text* on one line: names that came from other files may hold anything."""
    return " ".join(text.split())


def _head_lines(chart: Chart, metre: Metre) -> list[str]:
    """Return the lines that the head needs."""
    lines = [f"title: {_one_line(chart.title)}"] if chart.title else []
    if chart.key:
        lines.append(f"key: {chart.key}")
    if chart.metre:
        lines.append(f"metre: {chart.metre}")
    if chart.tempo_bpm:
        lines.append(f"tempo: {chart.tempo_bpm:g}")
    if chart.feel:
        lines.append(f"feel: {format_feel(chart.feel)}")
    if chart.pickup:
        beats = chart.pickup_ticks // metre.unit_ticks
        lines.append(f"pickup: {' '.join(_items(chart.pickup.chords, (metre.unit_ticks,) * beats))}")
    return lines


def _format_bar(bar: ChartBar, metre: Metre) -> str:
    """Return the items of one *bar* of *metre*, in as few items as show where each chord starts."""
    drums = "drums " if any(chord.cue is Cue.DRUMS_ONLY for chord in bar.chords) else ""
    return drums + " ".join(_items(bar.chords, _parts(bar, metre)))


def _parts(bar: ChartBar, metre: Metre) -> tuple[int, ...]:
    """Return the smallest sharing of a bar of *metre* in which every chord begins a share."""
    for count in range(1, metre.bar_ticks // SIXTEENTH_TICKS + 1):
        parts = shares(count, metre)
        if parts and {chord.offset_ticks for chord in bar.chords} <= _starts(parts):
            return parts
    step = gcd(metre.unit_ticks, *(chord.offset_ticks for chord in bar.chords))
    return (step,) * (metre.bar_ticks // step)


def _starts(parts: tuple[int, ...]) -> set[int]:
    """Return where each of *parts* starts."""
    return {sum(parts[:index]) for index in range(len(parts))}


def _items(chords: tuple[ChartChord, ...], parts: tuple[int, ...]) -> list[str]:
    """Return a word for each of *parts*: the chord that starts there, or a dot."""
    by_offset = {chord.offset_ticks: chord for chord in chords}
    words, offset = [], 0
    for part in parts:
        words.append(_word(by_offset[offset]) if offset in by_offset else ".")
        offset += part
    return words


def _word(chord: ChartChord) -> str:
    """Return one chord with its marks."""
    push = {EIGHTH_TICKS: ">", SIXTEENTH_TICKS: ">>"}.get(chord.push_ticks, "")
    symbol = chord.chord.symbol if chord.chord else "N.C."
    return f"{push}{symbol}{'!' if chord.cue is Cue.STOP else ''}"
