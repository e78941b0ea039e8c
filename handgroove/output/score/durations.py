"""Written lengths: for each event the end that reads most simply and still says how long the note sounds.

A note may be held to the next, end early with rests, or be written to the next place with a staccato dot (a short
stab is a dot, not a row of rests). Each candidate costs what it differs from the sound and what a reader has to read.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import log2

from handgroove.metre import beats, shift_ticks, split
from handgroove.output.score.sheet_model import Event, Mark, Written
from handgroove.timeline import Timeline

LEGATO = 0.65  # a note that sounds for this share of its written length is simply that note
STACCATO = 0.62  # under this share it is dotted
LONGEST_STACCATO = 960
_LENGTHS = (240, 320, 480, 640, 720, 960, 1440, 1920, 2880, 3840)


def make_events(voice: Sequence[Written], timeline: Timeline, end_tick: int) -> list[Event]:
    """Return one voice's notes as events with written ends and staccato marks."""
    groups: dict[int, list[Written]] = {}
    graces: dict[int, list[Written]] = {}
    for placed in voice:
        (graces if placed.note.grace else groups).setdefault(placed.tick, []).append(placed)
    for tick in graces.keys() - groups.keys():  # its principal went to the other voice: it stands for itself
        groups[tick] = graces.pop(tick)
    ticks = sorted(groups)
    events = []
    for tick, after in zip(ticks, [*ticks[1:], end_tick], strict=False):
        notes, doubled = _one_each(groups[tick])
        sounding = max(p.sounding_ticks for p in notes)
        end = _best_end(tick, sounding, after, timeline)
        marks = (
            (Mark.STACCATO,) if sounding < STACCATO * (end - tick) and end - tick <= LONGEST_STACCATO else ()
        )
        before = tuple(sorted([*doubled, *graces.get(tick, [])], key=lambda p: p.note.tick))
        events.append(Event(tick, end, tuple(notes), marks, before))
    return events


def _one_each(group: list[Written]) -> tuple[list[Written], list[Written]]:
    """Return the notes of a chord with each pitch once, and those that come before another of the same pitch."""
    last: dict[int, Written] = {}
    doubled = []
    for placed in sorted(group, key=lambda p: p.note.tick):
        if placed.note.pitch in last:
            doubled.append(last[placed.note.pitch])
        last[placed.note.pitch] = placed
    return sorted(last.values(), key=lambda p: p.note.pitch), doubled


def _best_end(tick: int, sounding: int, after: int, timeline: Timeline) -> int:
    bar = timeline.bar_at(tick)
    latest = after
    if after > bar.end_tick:  # rests in later bars are free, and a note may be tied over
        held = timeline.bar_at(max(tick, tick + sounding - 60))
        latest = min(after, max(bar.end_tick, held.end_tick))
    ends = _ends(tick, sounding, after, latest, timeline)
    return min(ends, key=lambda end: (_cost(tick, end, sounding, latest, timeline), end))


def _ends(tick: int, sounding: int, after: int, latest: int, timeline: Timeline) -> set[int]:
    """Return the ticks at which a note that begins at *tick* might be written to end, with the next at *after*."""
    beat, length = _beat_at(tick, timeline)
    ends = {latest, min(latest, beat + length)}
    next_beat = _beat_at(after, timeline)[0]
    for value in _LENGTHS:
        end = tick + value
        if end >= latest or value > 2 * sounding + 960:
            continue
        start = beat if end < beat + length else _beat_at(end, timeline)[0]
        places = [p - start for p, own in ((tick, beat), (after, next_beat)) if own == start and p > start]
        in_thirds = any(place % 120 for place in places)
        if (end - start) % (160 if in_thirds else 120) == 0:
            ends.add(end)
    return {end for end in ends if end > tick}


def _beat_at(tick: int, timeline: Timeline) -> tuple[int, int]:
    """Return the start and length of the beat that *tick* falls in."""
    return next((b for b in beats(timeline.bar_at(tick)) if b[0] <= tick < sum(b)), (tick, 960))


def _cost(tick: int, end: int, sounding: int, latest: int, timeline: Timeline) -> float:
    written = end - tick
    share = sounding / written
    if share > 1.15:
        differs = 2.5 * log2(share)
    elif share >= LEGATO:
        differs = 0.3 * abs(1 - share) if end < latest else 0.0
    elif written <= LONGEST_STACCATO:
        differs = (0.8 if share < STACCATO else 0.4) + (0.5 if share < 0.28 else 0.0)
    else:
        differs = 0.6 + 1.4 * log2(1 / share)
    notes = _count(tick, end, timeline, rest=False)
    rests = _count(end, latest, timeline, rest=True)
    return differs + notes + 0.6 * (notes - 1) + rests


def _count(start: int, end: int, timeline: Timeline, *, rest: bool) -> int:
    """Return how many notes or rests fill *start* to *end*."""
    count, at = 0, start
    while at < end:
        bar = timeline.bar_at(at)
        stop = min(end, bar.end_tick)
        base = bar.start_tick - shift_ticks(bar)
        count += len(split(bar.metre, at - base, stop - base, rest))
        at = stop
    return count
