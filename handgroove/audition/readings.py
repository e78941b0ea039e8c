"""Readings: the same groove and chart translated several ways, each different from the first in one thing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from handgroove.audition.ways import Attempt, WhatToTry, called, find_ways
from handgroove.desk.desk import Desk
from handgroove.hands.ease import Ease
from handgroove.part import Part
from handgroove.picks import Picked

MOST = 9  # readings: a key each, 1 to 9
_LENGTH_STEP_TICKS = 120
_LOUDNESS_STEP = 8


@dataclass(frozen=True, slots=True)
class Rendition:
    """One way to play the bars: its *name*, the options that make it (*choice*), and the part."""

    name: str
    choice: Mapping[str, str]
    part: Part


@dataclass(frozen=True, slots=True)
class Readings:
    """The *readings* that differ, and *messages* about ways asked for that came out the same as another."""

    readings: tuple[Rendition, ...]
    messages: tuple[str, ...] = ()


def make_readings(
    desk: Desk, wishes: WhatToTry, span: tuple[int, int], kept: Picked | None = None
) -> Readings:
    """Play *desk* as it is, with what was *kept* before, and in each other way that differs within *span*."""
    kept = kept or Picked()
    ease = kept.ease or Ease.AS_IS
    desk = desk.change(named_pattern=desk.named_pattern or kept.pattern, ease=ease, picks=kept.figures)
    plain, pattern = desk.part, desk.pattern
    own = {"pattern": called(pattern)} | ({"level": ease.value} if kept.ease else {})
    base = Attempt(f"as it is: {pattern.title.lower()}", pattern, ease, kept.figures, own)
    found = [Rendition(base.name, own, plain)]
    messages: list[str] = []
    for kind in find_ways(base, desk, wishes, span):
        wanted = len(found) + kind.most
        for way in kind.ways:
            other = desk.change(named_pattern=way.pattern, ease=way.ease, picks=way.figures)
            reading = Rendition(way.name, way.choice, other.part)
            least = kind.least_difference
            twin = next((old for old in found if difference(old.part, other.part, span) <= least), None)
            if twin is None:
                found.append(reading)
            elif kind.asked:
                messages.append(f"{way.name}: the same notes here as {twin.name!r}, left out")
            if len(found) == wanted:
                break
    messages += [f"{reading.name}: left out, since a page has {MOST} keys" for reading in found[MOST:]]
    return Readings(tuple(found[:MOST]), tuple(messages))


def difference(first: Part, second: Part, span: tuple[int, int]) -> float:
    """Return the share of notes within *span*, 0 to 1, that only one part has: by key, start, length and loudness."""
    notes = [
        {
            (note.tick, note.pitch, note.length_ticks // _LENGTH_STEP_TICKS, note.velocity // _LOUDNESS_STEP)
            for note in part.notes
            if span[0] <= note.tick < span[1]
        }
        for part in (first, second)
    ]
    return 1 - len(notes[0] & notes[1]) / max(1, *map(len, notes))
