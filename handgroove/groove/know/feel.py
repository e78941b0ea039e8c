"""Feel: the grid that the hits of a groove fall on, and how much its offbeats swing.

Every hit's place within its beat is counted into a histogram, and each grid that drummers use is tried on it, with
every amount of swing: the likeliest grid wins, after a price for each of its positions (G. Schwarz, 1978,
"Estimating the dimension of a model", Annals of Statistics 6(2):461-464). Places are counted from where the
drummer's own beats fall near by, so that rushing or lying back as a whole is not taken for swing.

The swing ratio is the beat-upbeat ratio of C. Corcoran and K. Frieler (2021, "Playing it straight", Music
Perception 38(4):372-385): the time from beat to upbeat over that from upbeat to next beat; 1 is straight, 2 triplet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import exp, log, sqrt
from statistics import fmean, median
from typing import TYPE_CHECKING

from handgroove.groove.hits import Feel
from handgroove.groove.know.barlines import BarHits

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

BINS = 60  # a beat's histogram: 16 ticks a bin in quarters, fine enough for a fiftieth of a beat
SPREADS = (0.015, 0.02, 0.03, 0.04, 0.05)  # standard deviations of human timing to choose from, in beats
STRAY = 0.06  # the share of hits that belong to no grid (flams, ornaments, slips)
NEAR_BEAT = 0.12  # in beats: a hit no farther from a beat than this is taken for the beat itself
BEATS_AROUND = 4  # how many beats each side say where the beat falls just now
RATIO_LIMITS = (0.25, 4.0)  # beat-upbeat ratios outside these are other rhythms (Corcoran and Frieler 2021)
# A rival grid may hold the same upbeats (triplets and their first and last): doubt, not denial
LEAST_CLARITY = 0.6
HEARD_RATIO = 1.2  # upbeats later than this are heard as swing (common practice, no source)
SHORTEST_SEC = 0.075  # the short note of swing stays near 0.1 s, hardly less (Friberg and Sundström 2002)
CLOSEST_SEC = 0.055  # no hand keeps a grid finer than about 18 strokes a second
LEAST_THIRDS = 0.15  # of all hits: fewer at the beat's thirds are strays, not triplets
FEWEST_UPBEATS = 4
FEWEST_UPBEATS_SHARE = 0.06  # of all hits: fewer than either tell of no swing


@dataclass(frozen=True, slots=True)
class GridShape:
    """The places in a beat where hits fall: *positions* in beats (0 up to 1), by *name*.

    *swing_ratio* is the ratio that the positions stand for, and *swing_unit* the straight length of the swung note
    in beats (0.5 eighths, 0.25 sixteenths; 0 where nothing can swing).
    """

    name: str
    positions: tuple[float, ...]
    swing_ratio: float = 1.0
    swing_unit: float = 0.0


@dataclass(frozen=True, slots=True)
class FoundFeel:
    """The grid and swing of a groove. *confidence* is 0 (a guess) to 1 (sure), *upbeats* how many were measured.

    *offset_beats* is where the hits' beats fall beside the file's own.
    """

    grid: GridShape
    swing_ratio: float
    swing_unit_ticks: int
    confidence: float
    upbeats: int
    offset_beats: float

    @property
    def feel(self) -> Feel:
        """Return the feel as a groove holds it."""
        return Feel(self.swing_ratio if self.is_swung else 1.0, self.swing_unit_ticks)

    @property
    def is_swung(self) -> bool:
        """Return whether the upbeats are late enough to be heard as swing (a ratio over 1.2)."""
        return self.swing_ratio > HEARD_RATIO


QUARTERS = GridShape("quarters", (0.0,))


def find_feel(bars: Sequence[BarHits], tempo_bpm: float = 120.0) -> FoundFeel:
    """Find the grid and swing that *bars*' hits fall on at about *tempo_bpm* quarter notes a minute."""
    if not any(part.hits for part in bars):
        return FoundFeel(QUARTERS, 1.0, 480, 0.0, 0, 0.0)
    metre = bars[0].bar.metre
    phases, offset, spread = _phases(bars)
    histogram = [0] * BINS
    for phase in phases:
        histogram[round(phase * BINS) % BINS] += 1
    beat_sec = 60 / tempo_bpm * metre.beat_ticks / 960
    shape, gap = _likeliest(histogram, metre.is_compound, beat_sec, _nearest_spread(1.2 * spread))
    shape = _name_shuffle(shape, histogram)
    ratios = _ratios(phases, shape)
    if len(ratios) < max(FEWEST_UPBEATS, FEWEST_UPBEATS_SHARE * len(phases)):
        ratios = []
    ratio = round(median(ratios), 2) if ratios else 1.0
    if ratio <= HEARD_RATIO:
        shape = _straighten(shape)
    unit_ticks = round((shape.swing_unit or 0.5) * metre.beat_ticks)
    return FoundFeel(shape, ratio, unit_ticks, _confidence(ratios, gap), len(ratios), offset)


def _phases(bars: Sequence[BarHits]) -> tuple[list[float], float, float]:
    """Return every hit's place within its beat (0 up to 1), the beats' common offset and their spread, in beats."""
    places: list[float] = []
    beats_passed = 0.0
    for part in bars:
        beat, start = part.bar.metre.beat_ticks, part.bar.start_tick
        places.extend(beats_passed + (hit.tick - start) / beat for hit in part.hits)
        beats_passed += max(1, -(-part.bar.length_ticks // beat))
    deviations: dict[int, list[float]] = {}
    for place in places:
        if abs(deviation := place - round(place)) < NEAR_BEAT:
            deviations.setdefault(round(place), []).append(deviation)
    every = [deviation for found in deviations.values() for deviation in found]
    offset = median(every) if every else 0.0
    spread = 1.48 * median([abs(deviation - offset) for deviation in every]) if every else 0.0
    here: dict[int, float] = {}
    phases = []
    for place in places:
        beat_number = round(place)
        if beat_number not in here:
            around = range(beat_number - BEATS_AROUND, beat_number + BEATS_AROUND + 1)
            near = [deviation for number in around for deviation in deviations.get(number, ())]
            here[beat_number] = median(near) if len(near) >= BEATS_AROUND else offset
        phases.append((place - here[beat_number]) % 1.0)
    return phases, offset, spread


def _nearest_spread(spread: float) -> float:
    return min(SPREADS, key=lambda known: abs(known - spread))


@lru_cache(maxsize=2)
def _shapes(is_compound: bool) -> tuple[GridShape, ...]:
    """Return the grids to try: straight and swung eighths and sixteenths, triplets; thirds in compound metres."""
    sixths = tuple(i / 6 for i in range(6))
    if is_compound:
        thirds = GridShape("eighths in threes", sixths[::2])
        fours = GridShape("four to the beat", (0.0, 0.25, 0.5, 0.75))
        return (
            thirds,
            GridShape("sixteenths in sixes", sixths),
            GridShape("two to the beat", (0.0, 0.5)),
            fours,
        )
    shapes = [QUARTERS, GridShape("triplets", sixths[::2]), GridShape("sixteenth triplets", sixths)]
    for percent in range(50, 79):
        share = percent / 100
        ratio = share / (1 - share)
        swung = "" if percent == 50 else "swung "
        shapes.append(GridShape(f"{swung}eighths", (0.0, share), ratio, 0.5))
        positions = (0.0, share / 2, 0.5, 0.5 + share / 2)
        shapes.append(GridShape(f"{swung}sixteenths", positions, ratio, 0.25))
    return tuple(shapes)


def _shortest_beats(shape: GridShape) -> float:
    """Return the shortest time between two neighbouring positions, in beats."""
    return min(b - a for a, b in pairwise((*shape.positions, 1.0)))


@lru_cache(maxsize=512)
def _kernel(position: float, spread: float) -> tuple[float, ...]:
    """Return how likely a hit meant for *position* is in each bin, with timing of this *spread* (both in beats)."""
    distances = (abs(index / BINS - position) for index in range(BINS))
    weights = [exp(-0.5 * (min(distance, 1 - distance) / spread) ** 2) for distance in distances]
    total = sum(weights)
    return tuple(weight / total for weight in weights)


@lru_cache(maxsize=512)
def _kernels(positions: tuple[float, ...], spread: float) -> NDArray[np.float64]:
    """Return the kernels of all *positions*, a row each."""
    import numpy as np

    return np.array([_kernel(position, spread) for position in positions])


def _likeliest(
    histogram: Sequence[int], is_compound: bool, beat_sec: float, spread: float
) -> tuple[GridShape, float]:
    """Return the likeliest grid, and how many nats a hit it is ahead of the best grid of another name."""
    import numpy as np

    count = sum(histogram)
    filled = np.flatnonzero(histogram)
    numbers = np.array(histogram, dtype=float)[filled]
    best: dict[str, tuple[float, GridShape]] = {}
    for shape in _shapes(is_compound):
        if _shortest_beats(shape) * beat_sec < (SHORTEST_SEC if shape.swing_ratio > 1 else CLOSEST_SEC):
            continue
        if "triplets" in shape.name and not _has_triplets(histogram, count):
            continue
        kernels = _kernels(shape.positions, spread)[:, filled]
        price = 0.5 * (len(shape.positions) + (shape.swing_ratio > 1.0))
        score = _likelihood(numbers, kernels) - price * log(count + 1)
        if shape.name not in best or score > best[shape.name][0]:
            best[shape.name] = score, shape
    ranked = sorted(best.values(), key=lambda item: -item[0])
    if not ranked:
        return QUARTERS, 0.0
    return ranked[0][1], (ranked[0][0] - ranked[1][0]) / count if len(ranked) > 1 else 0.0


def _likelihood(numbers: NDArray[np.float64], kernels: NDArray[np.float64]) -> float:
    """Return the log likelihood of the bins' *numbers* when each position takes the share of hits nearest to it.

    Of two positions as near as each other, the earlier takes the hits.
    *kernels* has a row for each position and a column for each bin.
    """
    import numpy as np

    shares = np.bincount(kernels.argmax(axis=0), weights=numbers, minlength=len(kernels)) / numbers.sum()
    return float(numbers @ np.log(STRAY / BINS + (1 - STRAY) * (shares @ kernels)))


def _straighten(shape: GridShape) -> GridShape:
    """Return the straight grid of *shape*'s unit, where its swing is too little to be heard."""
    if not shape.name.startswith("swung") or "triplets" in shape.name:
        return shape
    count = len(shape.positions)
    return GridShape(shape.name[6:], tuple(i / count for i in range(count)), 1.0, shape.swing_unit)


def _near(histogram: Sequence[int], position: float) -> int:
    """Return how many hits lie within a twelfth of a beat or so of *position*."""
    centre = round(position * BINS)
    return sum(histogram[centre - 4 : centre + 5])


def _has_triplets(histogram: Sequence[int], count: int) -> bool:
    """Return whether enough hits lie at the beat's thirds that they can't be strays of another grid."""
    return _near(histogram, 1 / 3) + _near(histogram, 2 / 3) >= LEAST_THIRDS * count


def _name_shuffle(shape: GridShape, histogram: Sequence[int]) -> GridShape:
    """Return triplets as swung eighths where the last of three is struck as much as the middle one and the half."""
    if "triplets" not in shape.name:
        return shape
    third, half, last = (_near(histogram, position) for position in (1 / 3, 1 / 2, 2 / 3))
    if last >= 0.8 * third and last > 2 * half and last >= 0.1 * sum(histogram):
        return GridShape("swung eighths in triplets", shape.positions, 2.0, 0.5)
    return shape


def _ratios(phases: Sequence[float], shape: GridShape) -> list[float]:
    """Return the beat-upbeat ratio of every upbeat that the grid's swing moves."""
    if not shape.swing_unit:
        return []
    span = 2 * shape.swing_unit
    centre = shape.swing_ratio / (1 + shape.swing_ratio)
    low, high = RATIO_LIMITS
    found = []
    for phase in phases:
        share = (phase % span) / span
        if abs(share - centre) < 0.12 and low <= (ratio := share / (1 - share)) <= high:
            found.append(ratio)
    return found


def _confidence(ratios: Sequence[float], gap: float) -> float:
    """Return how sure the swing is: many upbeats that agree, on a grid far likelier than the next one."""
    if not ratios:
        return 0.0
    shares = [ratio / (1 + ratio) for ratio in ratios]
    middle = fmean(shares)
    scatter = sqrt(fmean((share - middle) ** 2 for share in shares))
    agreement = max(0.0, 1 - scatter / 0.15)
    number = len(ratios) / (len(ratios) + 4)
    clarity = 1 - (1 - LEAST_CLARITY) * exp(-30 * max(0.0, gap))
    return round(agreement * number * clarity, 2)
