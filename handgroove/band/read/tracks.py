"""What a band's file holds: tracks of notes over one timeline.

Ticks are 960 to the quarter, pitches MIDI note numbers, channels 1 to 16, programs 0 to 127 as in the file (General
MIDI System Level 1, MIDI Manufacturers Association, 1991).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from handgroove.groove.hits import Marker
from handgroove.timeline import Timeline


@dataclass(frozen=True, slots=True)
class BandNote:
    """One note of the band: when it starts (*tick*), how long it sounds, its *pitch* and *velocity* (1 to 127)."""

    tick: int
    length_ticks: int
    pitch: int
    velocity: int

    @property
    def end_tick(self) -> int:
        """Return the tick at which it ends."""
        return self.tick + self.length_ticks


@dataclass(frozen=True)
class BandTrack:
    """One player's notes, in order of time. *name* is unlike any other track's; *number* is the file's, from 1."""

    name: str
    notes: tuple[BandNote, ...]
    channel: int = 1
    program: int | None = None
    number: int = 1

    @cached_property
    def ticks(self) -> list[int]:
        """Return when its notes start."""
        return [note.tick for note in self.notes]

    @cached_property
    def longest_ticks(self) -> int:
        """Return the length of its longest note."""
        return max((note.length_ticks for note in self.notes), default=0)

    def between(self, start_tick: int, end_tick: int) -> tuple[BandNote, ...]:
        """Return the notes that start from *start_tick* on and before *end_tick*."""
        return self.notes[bisect_left(self.ticks, start_tick) : bisect_left(self.ticks, end_tick)]


@dataclass(frozen=True)
class Band:
    """A whole band: its *tracks* with notes in them, the *timeline*, and the file's own section names (*markers*)."""

    tracks: tuple[BandTrack, ...]
    timeline: Timeline
    title: str = ""
    markers: tuple[Marker, ...] = ()
    source: str = ""
    messages: tuple[str, ...] = ()

    def track(self, name: str) -> BandTrack:
        """Return the track called *name*."""
        return next(track for track in self.tracks if track.name == name)


def clusters(notes: Iterable[BandNote], near_ticks: int) -> list[list[BandNote]]:
    """Return *notes* (in order of time) in groups that start together, within *near_ticks* of the group's first."""
    found: list[list[BandNote]] = []
    for note in notes:
        if found and note.tick - found[-1][0].tick <= near_ticks:
            found[-1].append(note)
        else:
            found.append([note])
    return found


def skyline(notes: Sequence[BandNote], near_ticks: int) -> list[BandNote]:
    """Return the top line of *notes*: of what starts together the highest, unless a higher one still sounds.

    A higher note that is about to end (within *near_ticks* and a sixteenth) hides nothing.
    """
    line: list[BandNote] = []
    for group in clusters(notes, near_ticks):
        top = max(group, key=lambda note: (note.pitch, note.velocity))
        hidden = any(
            old.pitch > top.pitch and old.end_tick - 240 - near_ticks > top.tick for old in line[-3:]
        )
        if not hidden:
            line.append(top)
    return line


def has_near(ticks: Sequence[int], tick: int, slack_ticks: int) -> bool:
    """Return whether one of *ticks* (in order) is within *slack_ticks* of *tick*."""
    index = bisect_left(ticks, tick - slack_ticks)
    return index < len(ticks) and ticks[index] <= tick + slack_ticks
