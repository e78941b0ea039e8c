"""What key finding and chord recognition hear: how long each pitch class sounds in each slot of time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

from handgroove.timeline import Timeline

SHORTEST_TICKS = 240  # a dry stroke is heard for a sixteenth at least


class Sounding(Protocol):
    """A note with a pitch that sounds from *tick* to *end_tick*."""

    @property
    def tick(self) -> int:
        """Return when it starts."""

    @property
    def end_tick(self) -> int:
        """Return when it ends."""

    @property
    def pitch(self) -> int:
        """Return its MIDI pitch."""


@dataclass(slots=True)
class Slot:
    """A stretch of time from *start_tick* to *end_tick*: how long each pitch class sounds in it, in quarters.

    *bass* is the lowest pitch that sounds for at least a quarter of it (None in silence).
    """

    start_tick: int
    end_tick: int
    weights: list[float] = field(default_factory=lambda: [0.0] * 12)
    bass: int | None = None


def beat_slots(timeline: Timeline, end_tick: int) -> list[Slot]:
    """Return a slot for each felt beat up to *end_tick*; a bar's last beat may be shorter."""
    slots, tick = [], 0
    while tick < end_tick:
        bar = timeline.bar_at(tick)
        step = bar.metre.beat_ticks
        slots += [Slot(at, min(at + step, bar.end_tick)) for at in range(bar.start_tick, bar.end_tick, step)]
        tick = bar.end_tick
    return slots


def fill_slots(slots: Sequence[Slot], notes: Sequence[Sounding]) -> None:
    """Add to each of *slots* what sounds in it of *notes*."""
    starts = [slot.start_tick for slot in slots]
    first = 0
    for note in sorted(notes, key=lambda one: (one.tick, one.pitch)):
        while first + 1 < len(starts) and starts[first + 1] <= note.tick:
            first += 1
        end = max(note.end_tick, note.tick + SHORTEST_TICKS)
        index = first
        while index < len(slots) and starts[index] < end:
            slot = slots[index]
            heard = min(end, slot.end_tick) - max(note.tick, slot.start_tick)
            if heard > 0:
                slot.weights[note.pitch % 12] += heard / 960
                enough = 4 * heard >= slot.end_tick - slot.start_tick
                if enough and (slot.bass is None or note.pitch < slot.bass):
                    slot.bass = note.pitch
            index += 1
