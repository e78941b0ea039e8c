"""Voices: one to a hand, and a second one only in bars where a note is held while others move.

With a melody in the hand the melody is the upper voice; otherwise what is held goes below or above what moves, as
it lies.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from handgroove.output.score.sheet_model import Written
from handgroove.strike import Role
from handgroove.timeline import Timeline

LEAST_HELD_TICKS = 240


def split_voices(placed: Sequence[Written], timeline: Timeline) -> tuple[list[Written], list[Written]]:
    """Return the upper and the lower voice of one hand's notes; in most music the lower one is empty.

    Grace notes are written in the voice of the note that they lead to.
    """
    notes = sorted((p for p in placed if not p.note.grace), key=lambda p: (p.tick, p.note.pitch))
    ticks = sorted({p.tick for p in notes})
    held = {p.index: _last_held(p, ticks) for p in notes}
    two_voiced = _two_voiced_bars(notes, held, timeline)
    upper: list[Written] = []
    lower: list[Written] = []
    for start, end in two_voiced:
        inside = [p for p in notes if start <= p.tick < end]
        below = _lower_notes(inside, held)
        lower += [p for p in inside if p.index in below]
    chosen = {p.index for p in lower}
    upper += [p for p in notes if p.index not in chosen]
    for grace in (p for p in placed if p.note.grace):
        main = _main_of(grace, notes)
        (lower if main and main.index in chosen else upper).append(grace)
    return upper, lower


def _main_of(grace: Written, notes: Sequence[Written]) -> Written | None:
    """Return the note that *grace* leads to: at its place, of its role if there is one, and the nearest key."""
    first = bisect_left(notes, grace.tick, key=lambda p: p.tick)
    last = bisect_right(notes, grace.tick, key=lambda p: p.tick)
    own, pitch = grace.note.role, grace.note.pitch
    return min(
        notes[first:last], key=lambda p: (p.note.role is not own, abs(p.note.pitch - pitch)), default=None
    )


def _last_held(placed: Written, ticks: list[int]) -> int:
    """Return the last of the hand's onsets that *placed* is held through, or its own tick if there is none."""
    first, last = bisect_right(ticks, placed.tick), bisect_left(ticks, placed.sounding_end)
    held = placed.tick
    for index in range(first, last):
        after = ticks[index + 1] if index + 1 < len(ticks) else ticks[index] + 2 * LEAST_HELD_TICKS
        if placed.sounding_end - ticks[index] >= max(LEAST_HELD_TICKS, 0.6 * min(after - ticks[index], 960)):
            held = ticks[index]
    return held


def _two_voiced_bars(notes: list[Written], held: dict[int, int], timeline: Timeline) -> list[tuple[int, int]]:
    """Return the spans (start, end tick) of the bars in which a note is held while others move."""
    spans: dict[int, int] = {}
    for placed in notes:
        if held[placed.index] > placed.tick:
            bar = timeline.bar_at(placed.tick)
            spans[bar.start_tick] = bar.end_tick
            if held[placed.index] >= bar.end_tick:
                later = timeline.bar_at(held[placed.index])
                spans[later.start_tick] = later.end_tick
    return sorted(spans.items())


def _lower_notes(inside: list[Written], held: dict[int, int]) -> set[int]:
    """Return the indices of the notes of one bar that go into the lower voice."""
    tunes = {p.index for p in inside if p.note.role is Role.MELODY}
    if tunes and len(tunes) < len(inside):
        return {p.index for p in inside} - tunes
    below: set[int] = set()
    for holder in inside:
        if held[holder.index] == holder.tick:
            continue
        moving = [p for p in inside if holder.tick < p.tick <= held[holder.index]]
        moving += [p for p in inside if p.tick == holder.tick and held[p.index] == p.tick]
        if not moving:
            continue
        middle = sum(p.note.pitch for p in moving) / len(moving)
        if holder.note.pitch <= middle:
            below.add(holder.index)
        else:
            below |= {p.index for p in moving if p.note.pitch <= holder.note.pitch}
    return below
