"""Pushes: chords that the band strikes before the bar line or the middle of the bar, and holds across it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import median_low

from handgroove.band.read.roles import BandRole, Cast
from handgroove.band.read.tracks import Band, BandNote, BandTrack
from handgroove.harmony.chart import ChordSpan, Harmony
from handgroove.harmony.chord import Chord, parse_chord

_EARLIEST_TICKS, _LATEST_TICKS = 480, 240  # before the line: an eighth to a sixteenth, as written
_ACROSS_TICKS = 240  # it sounds at least this long past the line


@dataclass(frozen=True, slots=True)
class Push:
    """The chord that belongs at *line_tick* is struck at *place*, before it, by *tracks*, who play it at *tick*.

    *heard_tick* is where the harmony as recognised, beat by beat, has it begin: on the line or on the beat before.
    *low* is the lowest pitch struck. All but *tick* are written ticks.
    """

    place: int
    tick: int
    line_tick: int
    heard_tick: int
    tracks: tuple[str, ...]
    low: int


def find_pushes(band: Band, casts: Sequence[Cast], harmony: Harmony) -> tuple[Push, ...]:
    """Find the changes of chord that at least two of bass and chord players (or the only one) strike early."""
    backing = [c.track for c in casts if c.role in (BandRole.BASS, BandRole.CHORDS, BandRole.PAD)]
    found = []
    for before, span in pairwise(harmony.spans):
        line = _line_after(band, span.start_tick)
        if span.chord is None or line is None or line >= span.end_tick:
            continue
        fresh = span.chord.pcs - (before.chord.pcs if before.chord else frozenset())
        early = {track.name: note for track in backing if (note := _early(track, line, fresh))}
        about = [t for t in backing if t.between(line - 1920, line + 960)]
        if early and len(early) >= min(2, len(about)) and 2 * len(early) >= len(about):
            place = median_low(note.meant for note in early.values())
            together = tuple(name for name, note in early.items() if note.meant == place)
            if len(together) >= min(2, len(about)):
                low = min(early[name].pitch for name in together)
                tick = median_low(early[name].tick for name in together)
                found.append(Push(place, tick, line, span.start_tick, together, low))
    return tuple(found)


def _line_after(band: Band, tick: int) -> int | None:
    """Return the bar line or middle at *tick* or within a beat after it: only those are leaned on."""
    bar = band.timeline.bar_at(tick)
    for line in (bar.start_tick, bar.start_tick + bar.length_ticks // 2, bar.end_tick):
        if 0 <= line - tick <= bar.metre.beat_ticks:
            return line
    return None


def _early(track: BandTrack, line: int, fresh: frozenset[int]) -> BandNote | None:
    """Return the lowest that *track* strikes before *line* and holds across it, if it is *fresh* (pitch classes).

    None where it strikes on the line, or brings nothing new.
    """
    if track.between(line, line + 1):
        return None
    notes = [
        note
        for note in track.between(line - _EARLIEST_TICKS, line - _LATEST_TICKS + 1)
        if note.meant_end >= line + _ACROSS_TICKS
    ]
    if not any(note.pitch % 12 in fresh for note in notes):
        return None
    return min(notes, key=lambda note: note.pitch)


def push_spans(spans: Sequence[ChordSpan], pushes: Sequence[Push]) -> tuple[ChordSpan, ...]:
    """Return *spans* with each pushed chord begun where it is struck, over the low note that is struck with it."""
    early = {push.heard_tick: push for push in pushes}
    moved = []
    for index, span in enumerate(spans):
        push = early.get(span.start_tick) if index else None
        after = early.get(span.end_tick) if index + 1 < len(spans) else None
        start, chord = (push.place, _over(span.chord, push.low)) if push else (span.start_tick, span.chord)
        end = after.place if after else span.end_tick
        if end > start:
            moved.append(replace(span, start_tick=start, end_tick=end, chord=chord))
    return tuple(moved)


def _over(chord: Chord | None, low: int) -> Chord | None:
    """Return *chord* in root position where *low* is its root: its bass was heard from before the push."""
    if chord is None or chord.bass == chord.root or chord.root.pc != low % 12:
        return chord
    return parse_chord(chord.symbol.rsplit("/", 1)[0])
