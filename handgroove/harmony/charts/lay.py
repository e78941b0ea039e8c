"""A chart laid over a timeline: bar on bar, repeated or cut to length, pushes moved to where they sound."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from handgroove.groove.hits import Marker
from handgroove.harmony.charts.chart_key import chart_key
from handgroove.harmony.charts.chart_model import Chart, ChartBar, ChordSpan, Cue, Harmony
from handgroove.harmony.symbols.chord_model import Chord, Key, Name
from handgroove.harmony.symbols.chord_text import parse_chord
from handgroove.timeline import Bar, Metre, Timeline

_COMMON_TIME = Metre(4, 4)


@dataclass(slots=True)
class _Start:
    """A chord begins at *tick*, *push_ticks* before its written place, or only goes on there (*is_held*)."""

    tick: int
    chord: Chord | None
    cue: Cue
    push_ticks: int = 0
    is_held: bool = False


def lay_chart(chart: Chart | None, timeline: Timeline, key: Key | None = None) -> Harmony:
    """Return *chart* laid over *timeline*: repeated where the music is longer, cut where it is shorter, and saying so.

    *key* overrides the chart's. Without a chart the tonic chord of *key* (C major's without one) holds throughout.
    """
    if chart is None:
        return _tonic_throughout(timeline, key)
    bars = list(timeline.bars()) or [timeline.bar_at(0)]
    pickup = bars.pop(0) if bars[0].number == 0 and len(bars) > 1 else None
    messages = _length_messages(chart, len(bars))
    metres = _bar_metres(chart)
    if not timeline.end_tick:
        bars = _bars_ahead(timeline, len(chart.bars))
        messages = []
    starts: list[_Start] = []
    sections: list[Marker] = []
    strange: list[int] = []
    if pickup is not None and chart.pickup is not None:
        starts += _pickup_starts(chart.pickup, chart.pickup_ticks, pickup)
    for index, bar in enumerate(bars):
        written = chart.bars[index % len(chart.bars)]
        metre = metres[index % len(chart.bars)]
        stated = chart.metre is not None or any(one.metre for one in chart.bars)
        if stated and bar.length_ticks != metre.bar_ticks and bar.length_ticks == bar.metre.bar_ticks:
            strange.append(bar.number)
        if written.section:
            sections.append(Marker(bar.start_tick, written.section))
        starts += _bar_starts(written, bar, metre)
    if strange:
        messages.append(_metre_message(strange, bars, metres, len(chart.bars)))
    if chart.pickup and pickup is None:
        messages.append("The chart's pickup is left out: the groove starts with a full bar.")
    end_tick = max(bars[-1].end_tick, timeline.end_tick)
    spans = _join(starts, end_tick)
    return Harmony(spans, key or chart.key or chart_key(chart), tuple(sections), tuple(messages))


def tonic_chord(key: Key) -> Chord:
    """Return the tonic chord of *key*."""
    return parse_chord(f"{key.tonic}{'m' if key.minor else ''}")


def _tonic_throughout(timeline: Timeline, key: Key | None) -> Harmony:
    """Return the harmony of no chart at all."""
    home = key or Key(Name("C"))
    end_tick = (
        max([timeline.end_tick, *(bar.end_tick for bar in timeline.bars())]) or timeline.bar_at(0).end_tick
    )
    chord = tonic_chord(home)
    message = f"No chart was given: {chord.symbol}, the chord of {home}, holds throughout."
    return Harmony((ChordSpan(0, end_tick, chord),), home, (), (message,), stated=False)


def _bars_ahead(timeline: Timeline, count: int) -> list[Bar]:
    """Return the first *count* full bars of a timeline without an end."""
    bars, tick = [], timeline.first_tick
    for _ in range(count):
        bars.append(timeline.bar_at(tick))
        tick = bars[-1].end_tick
    return bars


def _length_messages(chart: Chart, bars: int) -> list[str]:
    """Return what to tell where the chart and the music differ in length."""
    have = len(chart.bars)
    if have == bars:
        return []
    lengths = f"The chart has {_count(have, 'bar')}, the groove {bars}"
    if have > bars:
        rest = f"bar {have}" if have == bars + 1 else f"bars {bars + 1} to {have}"
        return [f"{lengths}: {rest} of the chart {'is' if have == bars + 1 else 'are'} left out."]
    whole, part = divmod(bars, have)
    if not part:
        return [f"{lengths}: the chart is played {_times(whole)}."]
    played = _times(whole)
    rest = "bar" if part == 1 else f"{part} bars"
    return [f"{lengths}: the chart is played {played}, then its first {rest}."]


def _times(number: int) -> str:
    """Return how often: ``once``, ``twice``, ``3 times``."""
    return {1: "once", 2: "twice"}.get(number, f"{number} times")


def _count(number: int, noun: str) -> str:
    """Return *number* with its noun: ``1 bar``, ``2 bars``."""
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _bar_metres(chart: Chart) -> list[Metre]:
    """Return the metre that the chart has in each of its bars."""
    metre, metres = chart.metre or _COMMON_TIME, []
    for bar in chart.bars:
        metre = bar.metre or metre
        metres.append(metre)
    return metres


def _metre_message(strange: list[int], bars: list[Bar], metres: list[Metre], length: int) -> str:
    """Return what to tell where the chart's metre is not the groove's."""
    first = next(index for index, bar in enumerate(bars) if bar.number == strange[0])
    where = f"bar {strange[0]}" if len(strange) == 1 else f"{len(strange)} bars, first in bar {strange[0]}"
    chart_metre, metre = metres[first % length], bars[first].metre
    told = f"The chart is in {chart_metre} where the groove is in {metre} ({where})"
    return f"{told}: its chords are fitted to the groove's bars."


def _bar_starts(written: ChartBar, bar: Bar, metre: Metre) -> Iterable[_Start]:
    """Yield where each chord of *written* begins in *bar*; *metre* is the chart's own there."""
    for placed in written.chords:
        offset = placed.offset_ticks
        if bar.length_ticks != metre.bar_ticks and bar.length_ticks == bar.metre.bar_ticks:
            beats = offset * bar.metre.beats / metre.bar_ticks
            # A bar shared in halves: the longer part first.
            offset = round(beats + 1e-6) * bar.metre.unit_ticks
        if offset < bar.length_ticks:
            tick = max(0, bar.start_tick + offset - placed.push_ticks)
            yield _Start(tick, placed.chord, placed.cue, bar.start_tick + offset - tick, placed.is_held)


def _pickup_starts(written: ChartBar, length_ticks: int, bar: Bar) -> list[_Start]:
    """Return the chords over the groove's pickup *bar*: the chart's own, of *length_ticks*, at the bar's end."""
    shift = bar.end_tick - length_ticks
    starts = [
        _Start(max(bar.start_tick, placed.offset_ticks + shift - placed.push_ticks), placed.chord, placed.cue)
        for placed in written.chords
    ]
    starts[0].tick = bar.start_tick
    return starts


def _goes_on(before: _Start, start: _Start) -> bool:
    """Return whether the chord *before* only goes on at *start*; a stop that is not held is struck again."""
    return (start.chord, start.cue) == (before.chord, before.cue) and (
        start.is_held or start.cue is not Cue.STOP
    )


def _join(starts: list[_Start], end_tick: int) -> tuple[ChordSpan, ...]:
    """Return the spans from each start to the next; a chord that only goes on is one span."""
    kept: list[_Start] = []
    for start in sorted(starts, key=lambda one: one.tick):
        if kept and start.tick <= kept[-1].tick:
            kept[-1] = start
        elif kept and _goes_on(kept[-1], start):
            continue
        else:
            kept.append(start)
    ends = [*(start.tick for start in kept[1:]), end_tick]
    spans = (ChordSpan(s.tick, end, s.chord, s.cue, s.push_ticks) for s, end in zip(kept, ends, strict=True))
    return tuple(span for span in spans if span.end_tick > span.start_tick)
