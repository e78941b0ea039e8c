"""A groove: the hits of a stretch of music with its metre, tempo and feel.

Hits keep the tick at which they were played (960 to the quarter) and the velocity (1 to 127): microtiming is
part of the music, and nothing here moves a hit to a grid.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property

from handgroove.frozen import quick
from handgroove.groove.kit import FAMILY_ORDER, Family, Piece
from handgroove.timeline import Timeline


class Stroke(StrEnum):
    """How hard a hit is beside the others of its piece."""

    GHOST = "ghost"
    NORMAL = "normal"
    ACCENT = "accent"


GHOST, NORMAL, ACCENT = Stroke  # by name: in Python 3.11 ten times as quick as through the class


@quick
@dataclass(frozen=True, slots=True)
class Hit:
    """One stroke on one piece: when (*tick*), which, how hard (*velocity*), and the *note* number it came as."""

    tick: int
    piece: Piece
    velocity: int
    note: int = 0

    @property
    def order(self) -> tuple[int, int, int, int]:
        """Return the key that sorts hits: by time, then kick, snare, hat ... , so that ties are settled."""
        return (self.tick, FAMILY_ORDER[self.piece.family], self.note, self.velocity)


@dataclass(frozen=True, slots=True)
class Feel:
    """How the offbeats lie: *swing_ratio* is long to short (1.0 straight, 2.0 triplet swing).

    *swing_unit_ticks* is the straight length of the swung note: 480 when eighths swing, 240 when sixteenths do.
    """

    swing_ratio: float = 1.0
    swing_unit_ticks: int = 480


@dataclass(frozen=True, slots=True)
class Marker:
    """A name at a tick: a section, a cue."""

    tick: int
    text: str


@dataclass(frozen=True)
class Groove:
    """Hits in time order over a timeline.

    *unknown* counts the notes that the kit does not know, by note number: they are reported, never dropped in
    silence. *source* is the file or pattern that the groove came from, for messages.
    """

    hits: tuple[Hit, ...]
    timeline: Timeline
    title: str = ""
    feel: Feel = Feel()
    unknown: dict[int, int] = field(default_factory=dict)
    markers: tuple[Marker, ...] = ()
    source: str = ""

    @cached_property
    def families(self) -> dict[Family, tuple[Hit, ...]]:
        """Return the hits of each family that is played."""
        found: dict[Family, list[Hit]] = {}
        for hit in self.hits:
            found.setdefault(hit.piece.family, []).append(hit)
        return {family: tuple(hits) for family, hits in found.items()}
