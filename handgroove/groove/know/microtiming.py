"""Microtiming: how far before or behind the grid each drum falls, in milliseconds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean

from handgroove.groove.kit import Piece
from handgroove.groove.meant.reading import Reading

FEWEST_HITS = 4
JUST_NOTICED_MS = 6.0  # a displacement in an even row is heard from 6 ms on (Friberg and Sundberg 1995)


@dataclass(frozen=True, slots=True)
class PieceTiming:
    """How one *piece* lies against the swung grid: *mean_ms* (behind is positive) and *spread_ms* (standard deviation).

    *beside_ms* is the mean beside all pieces together: what is left when the whole kit lies early or late.
    """

    piece: Piece
    hits: int
    mean_ms: float
    spread_ms: float
    beside_ms: float


def measure_timing(reading: Reading) -> tuple[PieceTiming, ...]:
    """Measure how each piece lies against its meant places, pieces in the kit's order."""
    timeline = reading.groove.timeline
    deviations: dict[Piece, list[float]] = {}
    for index, (hit, place) in enumerate(zip(reading.groove.hits, reading.places, strict=True)):
        if index not in reading.graces:
            late = hit.tick + reading.lean_ticks - reading.swung(place)
            deviations.setdefault(hit.piece, []).append(late / 960 * 60_000 / timeline.tempo_at(place))
    every = [value for values in deviations.values() for value in values]
    common = fmean(every) if every else 0.0
    order = list(Piece)
    return tuple(
        _summary(piece, deviations[piece], common)
        for piece in sorted(deviations, key=order.index)
        if len(deviations[piece]) >= FEWEST_HITS
    )


def _summary(piece: Piece, values: Sequence[float], common: float) -> PieceTiming:
    mean = fmean(values)
    spread = sqrt(fmean((value - mean) ** 2 for value in values))
    return PieceTiming(piece, len(values), round(mean, 1), round(spread, 1), round(mean - common, 1))
