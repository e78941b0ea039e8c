"""Pushes: chords that the band strikes before the bar line or the middle of the bar, and holds across it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import median_low

from handgroove.band.features import near_ticks
from handgroove.band.roles import BandRole, Cast
from handgroove.band.tracks import Band, BandTrack
from handgroove.harmony.chart import ChordSpan, Harmony

_EARLIEST_TICKS, _LATEST_TICKS = 520, 180  # before the line: a (swung) eighth to a sixteenth
_ACROSS_TICKS = 240  # it sounds at least this long past the line


@dataclass(frozen=True, slots=True)
class Push:
    """The chord that belongs at *line_tick* is struck at *tick*, before it, by *tracks*."""

    tick: int
    line_tick: int
    tracks: tuple[str, ...]


def find_pushes(band: Band, casts: Sequence[Cast], harmony: Harmony) -> tuple[Push, ...]:
    """Find the changes of chord that at least two of bass and chord players (or the only one) strike early."""
    near = near_ticks(band)
    backing = [c.track for c in casts if c.role in (BandRole.BASS, BandRole.CHORDS, BandRole.PAD)]
    found = []
    for before, span in pairwise(harmony.spans):
        line = span.start_tick
        bar = band.timeline.bar_at(line)
        if span.chord is None or (2 * (line - bar.start_tick)) % bar.length_ticks:
            continue  # only bar lines and middles are leaned on
        fresh = span.chord.pcs - (before.chord.pcs if before.chord else frozenset())
        early = {
            track.name: tick for track in backing if (tick := _early(track, line, near, fresh)) is not None
        }
        about = [t for t in backing if t.between(line - 1920, line + 960)]
        if early and len(early) >= min(2, len(about)) and 2 * len(early) >= len(about):
            tick = median_low(early.values())
            together = tuple(name for name, when in early.items() if abs(when - tick) <= 2 * near)
            if len(together) >= min(2, len(about)):
                found.append(Push(tick, line, together))
    return tuple(found)


def _early(track: BandTrack, line: int, near: int, fresh: frozenset[int]) -> int | None:
    """Return when *track* strikes before *line* what it holds across it, something *fresh* (pitch classes) among it.

    None where it strikes on the line, or brings nothing new.
    """
    if track.between(line - near, line + near + 1):
        return None
    notes = [
        note
        for note in track.between(line - _EARLIEST_TICKS, line - _LATEST_TICKS)
        if note.end_tick >= line + _ACROSS_TICKS
    ]
    return notes[0].tick if any(note.pitch % 12 in fresh for note in notes) else None


def push_spans(spans: Sequence[ChordSpan], pushes: Sequence[Push]) -> tuple[ChordSpan, ...]:
    """Return *spans* with each pushed chord begun where it is struck."""
    early = {push.line_tick: push.tick for push in pushes}
    moved = []
    for index, span in enumerate(spans):
        start = early.get(span.start_tick, span.start_tick) if index else span.start_tick
        end = early.get(span.end_tick, span.end_tick) if index + 1 < len(spans) else span.end_tick
        if end > start:
            moved.append(replace(span, start_tick=start, end_tick=end))
    return tuple(moved)
