"""From a part to what sounds: when each string is struck and when its damper falls, in output frames."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass

from handgroove.output.sound.source import RATE
from handgroove.part import Part
from handgroove.timeline import Timeline


@dataclass(frozen=True, slots=True)
class KeyPress:
    """A string struck at *start* and damped at *end* (output frames), whatever key or pedal held it."""

    start: int
    end: int
    pitch: int
    velocity: int


def frame_of(timeline: Timeline, tick: int) -> int:
    """Return the output frame at *tick*, the nearest."""
    return round(timeline.tick_to_sec(tick) * RATE)


def find_soundings(part: Part, first_tick: int = 0, last_tick: int | None = None) -> list[KeyPress]:
    """Return what sounds of the notes that start from *first_tick* to before *last_tick*, counted from *first_tick*.

    A key that is let go while the pedal is down sounds until the pedal comes up. A key let go just as the pedal goes
    down is not caught. A string that is struck again stops sounding as before.
    """
    downs, ups = _pedal(part)
    last_tick = part.timeline.end_tick if last_tick is None else last_tick
    begin = frame_of(part.timeline, first_tick)
    next_strike: dict[int, int] = {}
    found = []
    for note in sorted(part.notes, key=lambda n: n.order, reverse=True):
        end_tick = note.end_tick
        index = bisect_left(downs, end_tick) - 1
        if index >= 0 and end_tick < ups[index]:
            end_tick = ups[index]
        again_tick = next_strike.get(note.pitch)
        next_strike[note.pitch] = note.tick
        if not first_tick <= note.tick < last_tick or again_tick == note.tick:
            continue
        end_tick = end_tick if again_tick is None else min(end_tick, again_tick)
        start, end = (frame_of(part.timeline, tick) - begin for tick in (note.tick, end_tick))
        found.append(KeyPress(start, max(end, start + 1), note.pitch, note.velocity))
    return found[::-1]


def _pedal(part: Part) -> tuple[list[int], list[int]]:
    """Return the ticks at which the pedal goes down, and when it next comes up after each."""
    downs: list[int] = []
    ups: list[int] = []
    for move in sorted(part.pedal, key=lambda m: (m.tick, m.down)):
        if move.down and len(downs) == len(ups):
            downs.append(move.tick)
        elif not move.down and len(ups) < len(downs):
            ups.append(move.tick)
    if len(ups) < len(downs):
        ups.append(max((note.end_tick for note in part.notes), default=0) + 1)
    return downs, ups


def last_tick_of(part: Part) -> int:
    """Return the tick at which the music ends: its last bar's end, or later if a key is held longer."""
    return max([part.timeline.end_tick, *(note.end_tick for note in part.notes)])


def beats(timeline: Timeline, first_tick: int, last_tick: int) -> list[tuple[int, bool]]:
    """Return the tick of each felt beat in the span, and whether it begins a bar; a pickup counts back from its end."""
    found: list[tuple[int, bool]] = []
    for bar in timeline.bars():
        step = bar.metre.beat_ticks
        offset = bar.length_ticks % step if bar.number == 0 else 0
        ticks = range(bar.start_tick + offset, bar.end_tick, step)
        found.extend((tick, bar.number > 0 and tick == bar.start_tick) for tick in ticks)
    ticks_only = [tick for tick, _ in found]
    return found[bisect_left(ticks_only, first_tick) : bisect_right(ticks_only, last_tick - 1)]
