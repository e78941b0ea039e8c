"""How hard a hit is beside the others of its piece: ghost, normal or accent.

Loudness is relative: a drummer's ghost is soft beside that drum's own main strokes. A piece with enough hits
gets thresholds of its own, the rest share their family's, and where there is too little to tell, absolute ones
hold (ghosts under about 45 beside accents over 80: common practice, no source). The loud strokes are parted into
normal and accented where the spread between the two classes is greatest (N. Otsu, 1979, "A threshold selection
method from gray-level histograms", IEEE Transactions on Systems, Man, and Cybernetics 9(1):62-66).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from types import MappingProxyType

from handgroove.groove.hits import ACCENT, GHOST, NORMAL, Groove, Hit, Stroke
from handgroove.groove.kit import Family, Piece

FEWEST_HITS = 4  # fewer tell nothing about a piece's own loudness
GHOST_SHARE = 0.55  # a ghost is softer than this share of the piece's loudest stroke ...
METRIC = frozenset({Family.HAT, Family.RIDE, Family.HAND})  # whose accents the metre may stand in for
# ... within these velocities, so that a soft player's main strokes are not all ghosts
GHOST_LIMITS = (25.0, 60.0)
# The two classes' means differ by at least this velocity, or there are no accents to tell
LEAST_CONTRAST = 14.0


@dataclass(frozen=True, slots=True)
class PieceLevels:
    """One piece's thresholds: softer than *ghost_below* is a ghost, *accent_from* and louder an accent.

    *is_flat* says that the piece's velocities have no spread to speak of, so that accents are not in them.
    """

    ghost_below: float = 50.0
    accent_from: float = 100.0
    is_flat: bool = True

    def stroke(self, velocity: int) -> Stroke:
        """Return how a hit of *velocity* (1 to 127) was struck."""
        if velocity < self.ghost_below:
            return GHOST
        return ACCENT if velocity >= self.accent_from else NORMAL


_ABSOLUTE = PieceLevels()


@dataclass(frozen=True, slots=True)
class Levels:
    """The thresholds of every piece that a groove plays; any other piece gets the absolute ones."""

    pieces: Mapping[Piece, PieceLevels] = field(default_factory=lambda: MappingProxyType({}))

    def of(self, piece: Piece) -> PieceLevels:
        """Return one *piece*'s thresholds."""
        return self.pieces.get(piece, _ABSOLUTE)

    def stroke(self, hit: Hit) -> Stroke:
        """Return how *hit* was struck beside the others of its piece."""
        return self.of(hit.piece).stroke(hit.velocity)

    def is_flat(self, piece: Piece) -> bool:
        """Return whether the piece's velocities are all alike, so that accents must come from the metre."""
        return self.of(piece).is_flat

    def stroke_in_bar(self, hit: Hit, offset_ticks: int, beat_ticks: int) -> Stroke:
        """Return how *hit* was struck; where hats or hand drums are all alike, beats of *beat_ticks* are accents."""
        if hit.piece.family in METRIC and self.is_flat(hit.piece):
            return Stroke.NORMAL if offset_ticks % beat_ticks else Stroke.ACCENT
        return self.stroke(hit)


DEFAULT_LEVELS = Levels()


def find_levels(groove: Groove) -> Levels:
    """Find each piece's ghost and accent thresholds from the velocities (1 to 127) of *groove*'s hits."""
    by_piece: dict[Piece, list[int]] = {}
    by_family: dict[Family, list[int]] = {}
    for hit in groove.hits:
        by_piece.setdefault(hit.piece, []).append(hit.velocity)
        by_family.setdefault(hit.piece.family, []).append(hit.velocity)
    families = {family: _find_thresholds(velocities) for family, velocities in by_family.items()}
    return Levels(
        MappingProxyType(
            {
                piece: _find_thresholds(velocities)
                if len(velocities) >= FEWEST_HITS
                else families[piece.family]
                for piece, velocities in by_piece.items()
            }
        )
    )


def _find_thresholds(velocities: Sequence[int]) -> PieceLevels:
    """Find the thresholds that part *velocities* (any order) into ghosts, normal strokes and accents."""
    if len(velocities) < FEWEST_HITS or max(velocities) - min(velocities) < LEAST_CONTRAST:
        return _ABSOLUTE
    low, high = GHOST_LIMITS
    ghost_below = min(high, max(low, GHOST_SHARE * max(velocities)))
    accent_from = _part([velocity for velocity in velocities if velocity >= ghost_below])
    has_ghosts = min(velocities) < ghost_below
    is_flat = accent_from is None and not has_ghosts
    return PieceLevels(ghost_below, _ABSOLUTE.accent_from if accent_from is None else accent_from, is_flat)


def _part(velocities: Iterable[int]) -> float | None:
    """Return the velocity that parts *velocities* into two classes, or None if the two are nearly one."""
    counts: dict[int, int] = {}
    for velocity in velocities:
        counts[velocity] = counts.get(velocity, 0) + 1
    values = sorted(counts)
    all_count, all_sum = sum(counts.values()), sum(value * counts[value] for value in values)
    best: tuple[float, float, float] | None = None
    count = total = 0
    for value, following in pairwise(values):
        count += counts[value]
        total += value * counts[value]
        contrast = (all_sum - total) / (all_count - count) - total / count
        between = contrast * contrast * count * (all_count - count)
        if best is None or between > best[0]:
            best = between, contrast, (value + following) / 2
    return None if best is None or best[1] < LEAST_CONTRAST else best[2]
