"""Accents, tenuto and staccato marks: which are worth ink, and where ``sim.`` says the rest.

Marks that every bar repeats are written twice and then left to ``sim.``, as copyists do (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from statistics import median

from handgroove.output.score.sheet_model import Event, Mark, Measure, Symbol, Words
from handgroove.timeline import Timeline

ACCENT_OVER = 14  # velocity above its surroundings that makes a reader strike harder
ACCENT_SHARE = 0.4  # where more than this share would be marked, the accents are the level
TENUTO_APART = 4  # events to each side without another, or the tenuto is the rule and says nothing
WRITTEN_OUT_BARS = 2
WORTH_SAYING = 8  # so many marks saved are worth a word


def add_accents(events: Sequence[Event], timeline: Timeline) -> list[Event]:
    """Return one voice's events with accents on what stands out from the bars around it."""
    louds = [max(p.note.velocity for p in e.notes) for e in events]
    levels: dict[int, float | None] = {}
    result = []
    first = last = 0
    for event, loud in zip(events, louds, strict=True):
        bar = timeline.bar_at(event.tick)
        if bar.number not in levels:
            start, end = bar.start_tick - bar.length_ticks, bar.end_tick + bar.length_ticks
            while events[first].tick < start:
                first += 1
            while last < len(events) and events[last].tick < end:
                last += 1
            levels[bar.number] = _accent_level(louds[first:last])
        level = levels[bar.number]
        marked = level is not None and loud >= level
        result.append(replace(event, marks=(*event.marks, Mark.ACCENT)) if marked else event)
    return result


def _accent_level(louds: Sequence[int]) -> float | None:
    """Return from which velocity on a note is accented among *louds*, or None where none stands out."""
    level = median(louds) + ACCENT_OVER
    share = sum(v >= level for v in louds) / len(louds)
    return level if 0 < share <= ACCENT_SHARE else None


def add_tenuto(events: Sequence[Event]) -> list[Event]:
    """Return the events, a lone full-length one among short ones marked tenuto so that it is not clipped too."""
    long = [index for index in range(1, len(events) - 1) if _is_long_among_short(events, index)]
    result = list(events)
    for index in long:
        if not any(other != index and abs(other - index) <= TENUTO_APART for other in long):
            result[index] = replace(events[index], marks=(Mark.TENUTO,))
    return result


def _is_long_among_short(events: Sequence[Event], index: int) -> bool:
    before, event, after = events[index - 1 : index + 2]
    length = event.end_tick - event.tick
    near = before.end_tick == event.tick and event.end_tick == after.tick
    short = Mark.STACCATO in before.marks and Mark.STACCATO in after.marks and not event.marks
    return near and short and length <= 960 and max(p.sounding_ticks for p in event.notes) >= 0.9 * length


def say_sim(measures: Sequence[Measure], voices: Sequence[int], staff: int, starts: Collection[int]) -> None:
    """Leave out the marks of one staff's *voices* where bars go on as the last one or two did, with ``sim.``."""
    shapes = [_marks_of(measure, voices) for measure in measures]
    start = 0
    index = 0
    while index < len(measures):
        if measures[index].bar.start_tick in starts:
            start = index
        end = index
        while end < len(measures) and _goes_on(shapes, start, end):
            if end > index and measures[end].bar.start_tick in starts:
                break
            end += 1
        if sum(len(shape) for shape in shapes[index:end]) >= WORTH_SAYING:
            measures[index].words.append(Words(measures[index].bar.start_tick, "italic", "sim.", staff))
            for measure in measures[index:end]:
                for symbol in _symbols(measure, voices):
                    symbol.marks = ()
            start = index = end
        else:
            if index > start and not _goes_on(shapes, start, index) and index - start >= WRITTEN_OUT_BARS:
                start = index - 1 if shapes[index] == shapes[index - 1] else index
            index += 1


def _goes_on(shapes: Sequence[object], start: int, index: int) -> bool:
    """Return whether bar *index* has the marks of the bar before or the one before that, both since *start*."""
    return index - start >= WRITTEN_OUT_BARS and shapes[index] in (shapes[index - 1], shapes[index - 2])


def _symbols(measure: Measure, voices: Sequence[int]) -> list[Symbol]:
    return [s for number in voices for s in measure.voices.get(number, ()) if s.heads]


def _marks_of(measure: Measure, voices: Sequence[int]) -> tuple[tuple[int, tuple[Mark, ...]], ...]:
    start = measure.bar.start_tick
    return tuple((s.tick - start, s.marks) for s in _symbols(measure, voices) if s.marks)
