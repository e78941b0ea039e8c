"""Omissions as a reader wants them: one line for a passage in which the same thing happens for the same reason."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass

from handgroove.part import Change, Omission, Part

_NUMBER = re.compile(r"\d+(\.\d+)?")
_APART_BARS = 2  # a passage goes on over a bar without the thing, not over a whole phrase


@dataclass(frozen=True, slots=True)
class Passage:
    """The same change for the same reason, *count* times from *first_tick* to *last_tick* (ticks)."""

    first_tick: int
    last_tick: int
    change: Change
    subject: str
    reason: str
    count: int
    omissions: tuple[Omission, ...]


def find_passages(part: Part) -> list[Passage]:
    """Return *part*'s omissions gathered into passages, in order; numbers in a reason may differ within one."""
    open_lists: dict[tuple[object, ...], list[Omission]] = {}
    finished: list[list[Omission]] = []
    for omission in sorted(part.omissions, key=lambda item: item.tick):
        key = (omission.change, omission.subject, omission.hand, _NUMBER.sub("#", omission.reason))
        now = part.timeline.bar_at(omission.tick).number
        gathered = open_lists.get(key)
        if gathered and now - part.timeline.bar_at(gathered[-1].tick).number <= _APART_BARS:
            gathered.append(omission)
        else:
            open_lists[key] = gathered = [omission]
            finished.append(gathered)
    passages = [_passage(gathered) for gathered in finished]
    return sorted(passages, key=lambda passage: (passage.first_tick, passage.subject, passage.reason))


def _passage(gathered: list[Omission]) -> Passage:
    first = gathered[0]
    reason = Counter(omission.reason for omission in gathered).most_common(1)[0][0]
    last_tick = gathered[-1].tick
    return Passage(first.tick, last_tick, first.change, first.subject, reason, len(gathered), tuple(gathered))


def format_place(part: Part, passage: Passage) -> str:
    """Return ``bar 12, beat 3&`` for one omission, ``bars 3 to 8`` for a passage, ``before bar 1`` for a count-in."""
    timeline = part.timeline
    if passage.last_tick < timeline.lead_ticks:
        return "before bar 1"
    if passage.count == 1:
        return timeline.format_position(passage.first_tick)
    first, last = timeline.bar_at(passage.first_tick).number, timeline.bar_at(passage.last_tick).number
    return f"bar {first}" if first == last else f"bars {first} to {last}"
