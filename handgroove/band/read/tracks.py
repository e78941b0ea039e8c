"""What a band's file holds: tracks of notes over one timeline.

Ticks are 960 to the quarter, pitches MIDI note numbers, channels 1 to 16, programs 0 to 127 as in the file (General
MIDI System Level 1, MIDI Manufacturers Association, 1991).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby

from handgroove.groove.hits import Marker
from handgroove.groove.meant.lean import Lean
from handgroove.timeline import Timeline


@dataclass(frozen=True, slots=True)
class BandNote:
    """One note of the band: when it starts (*tick*), how long it sounds, its *pitch* and *velocity* (1 to 127).

    *place* and *end_place* are where it is meant to start and end, in written ticks (None = not read yet).
    """

    tick: int
    length_ticks: int
    pitch: int
    velocity: int
    place: int | None = None
    end_place: int | None = None

    @property
    def end_tick(self) -> int:
        """Return the tick at which it ends."""
        return self.tick + self.length_ticks

    @property
    def meant(self) -> int:
        """Return the written tick at which it is meant to start."""
        return self.tick if self.place is None else self.place

    @property
    def meant_end(self) -> int:
        """Return the written tick at which it is meant to end."""
        return self.end_tick if self.end_place is None else self.end_place


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
    def _meant(self) -> tuple[list[int], tuple[BandNote, ...]]:
        """Return its notes in order of their meant places, and these."""
        notes = tuple(sorted(self.notes, key=lambda note: note.meant))
        return [note.meant for note in notes], notes

    def between(self, start: int, end: int) -> tuple[BandNote, ...]:
        """Return the notes that are meant from the written tick *start* on and before *end*, in order."""
        places, notes = self._meant
        return notes[bisect_left(places, start) : bisect_left(places, end)]


@dataclass(frozen=True)
class Band:
    """A whole band: its *tracks* with notes in them, the *timeline*, and the file's own section names (*markers*).

    *lean* is how far the players are behind the beat as a whole; it is taken off their notes (None = it was not asked).
    """

    tracks: tuple[BandTrack, ...]
    timeline: Timeline
    title: str = ""
    markers: tuple[Marker, ...] = ()
    source: str = ""
    messages: tuple[str, ...] = ()
    lean: Lean | None = None

    def track(self, name: str) -> BandTrack:
        """Return the track called *name*."""
        return next(track for track in self.tracks if track.name == name)


def cut_timeline(timeline: Timeline, tracks: Iterable[BandTrack]) -> Timeline:
    """Return *timeline* ended with the bar in which the last note of *tracks* starts or still sounds in earnest."""
    last = max(max(note.tick + 1, note.end_tick - 240) for track in tracks for note in track.notes)
    return replace(timeline, end_tick=timeline.bar_at(max(0, last - 1)).end_tick)


def clusters(notes: Iterable[BandNote], near_ticks: int) -> list[list[BandNote]]:
    """Return *notes* (in order of time) in groups that start together, within *near_ticks* of the group's first."""
    found: list[list[BandNote]] = []
    for note in notes:
        if found and note.tick - found[-1][0].tick <= near_ticks:
            found[-1].append(note)
        else:
            found.append([note])
    return found


def meant_together(notes: Iterable[BandNote]) -> list[list[BandNote]]:
    """Return *notes* in groups that are meant at one place, in order, each in order of time."""
    ordered = sorted(notes, key=lambda note: (note.meant, note.tick, note.pitch))
    return [list(group) for _, group in groupby(ordered, key=lambda note: note.meant)]


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
