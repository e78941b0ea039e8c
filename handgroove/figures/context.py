"""What a figure needs to know of the song around it: chords, the low notes, the tempo, and where it lands."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Family
from handgroove.groove.know.levels import Levels
from handgroove.groove.meant.reading import Reading
from handgroove.harmony.chart import Harmony
from handgroove.harmony.charts.lay import tonic_chord
from handgroove.harmony.chord import Chord

LANDS_ON = frozenset({Family.CRASH, Family.KICK})
LOWEST_LOW = 31  # G1: where a low note is placed when the host has planned none


@dataclass(frozen=True)
class Surroundings:
    """A groove as it was read, under its *harmony*, with the host's *voicings* and *lows* (empty = none planned).

    Those two stand beside the harmony's spans.

    *first_notes* are the tune's notes (written tick, pitch) in order, where there is a tune: a figure leads to them.
    All ticks asked for are written ones.
    """

    reading: Reading
    levels: Levels
    harmony: Harmony
    voicings: Sequence[tuple[int, ...]] = ()
    lows: Sequence[int] = ()
    first_notes: Sequence[tuple[int, int]] = ()

    @property
    def groove(self) -> Groove:
        """Return the groove, the drummer's lean taken off."""
        return self.reading.groove

    @cached_property
    def _tonic(self) -> Chord:
        return tonic_chord(self.harmony.key)

    def chord_at(self, tick: int) -> Chord:
        """Return the chord at *tick*; where none sounds, the next or the tonic's."""
        spans = self.harmony.spans
        index = self.harmony.index_at(tick)
        for other in (index, index + 1, *range(index - 1, -1, -1)):
            chord: Chord | None = spans[other].chord if other < len(spans) else None
            if chord is not None:
                return chord
        return self._tonic

    def low_at(self, tick: int) -> int:
        """Return the left hand's low note at *tick*."""
        if self.lows:
            return self.lows[self.harmony.index_at(tick)]
        return LOWEST_LOW + (self.chord_at(tick).bass.pc - LOWEST_LOW) % 12

    def tune_at(self, tick: int) -> int | None:
        """Return the pitch that the tune strikes at *tick*, if it does."""
        return next((pitch for when, pitch in self.first_notes if when == tick), None)

    def hits_at(self, tick: int) -> tuple[int, ...]:
        """Return the indices of the hits that are meant at *tick*."""
        return self.reading.hits_at(tick)

    def lands(self, hits: Sequence[int]) -> bool:
        """Return whether a crash or kick is among *hits*: the drummer lands there."""
        return any(self.groove.hits[index].piece.family in LANDS_ON for index in hits)

    def sec(self, start_tick: int, end_tick: int) -> float:
        """Return the seconds from one tick to another."""
        return self.groove.timeline.tick_to_sec(end_tick) - self.groove.timeline.tick_to_sec(start_tick)


def landed_at(hits: Iterable[Hit]) -> int:
    """Return the tick at which a drummer lands with *hits*: the first crash's or kick's, not its ruff's."""
    return min(hits, key=lambda hit: (hit.piece.family not in LANDS_ON, hit.tick)).tick
