"""The lean: how far a drummer plays behind or before the file's beat as a whole.

Every amount is tried: the strokes' places within the beat are laid under a comb whose teeth stand where beats, halves
and quarters (or thirds) fall, the beat's own highest. Strokes shifted as a whole shift the answer by the same ticks,
so that nothing that comes after depends on where a take was cut. The weights and widths are our own.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from handgroove.timeline import Timeline

FARTHEST_SEC = 0.14  # 80 ms of a drummer who drags throughout, and as much again as a cut may be off
SPREAD_SEC = 0.014  # of human timing, standard deviation
NEAR_SEC = 0.04  # strokes this near to a beat say where it falls
USUAL_SEC = 0.035  # how far drummers lean, standard deviation: what few strokes say is weighed against that
USUAL_WORTH = 0.7  # strokes that a lean of one such deviation must bring
FEWEST_ON_BEATS = 6  # beats that say how the take leans; fewer, and all teeth do
# Teeth as (place in the beat, height): strokes fall on beats more than on their parts (common practice, no source).
_SIMPLE = ((0, 1.0), (1 / 2, 0.55), (1 / 4, 0.3), (3 / 4, 0.3), (1 / 3, 0.2), (2 / 3, 0.3))
_COMPOUND = ((0, 1.0), (1 / 3, 0.55), (2 / 3, 0.55), (1 / 6, 0.25), (1 / 2, 0.25), (5 / 6, 0.25))
Ticks = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Lean:
    """By how many *ticks* strokes lie behind the beat as a whole (negative: before it).

    *clarity* is how far the best lean's match stands out from what strokes at random would give, in standard
    deviations: takes played to a beat have 4 to 90, strokes at random 2 to 3.7.
    """

    ticks: int
    clarity: float


def find_lean(ticks: Ticks, weights: NDArray[np.float64], timeline: Timeline) -> Lean:
    """Return how strokes at *ticks*, each saying as much as its weight, lie beside the beat of *timeline*."""
    if not len(ticks):
        return Lean(0, 0.0)
    start = timeline.bar_start(1)
    metre = timeline.metre_at(start)
    beat = metre.beat_ticks if metre.is_compound or metre.unit <= 4 else metre.unit_ticks
    per_sec = 16 * timeline.tempo_at(int(ticks[0]))
    phases = (ticks - start) % beat
    histogram = np.bincount(phases, weights, minlength=beat)
    comb = comb_of(beat, timeline.tempo_at(start), metre.is_compound)
    match = np.fft.irfft(np.fft.rfft(histogram) * np.conj(comb), beat)
    farthest = min(beat // 2 - 1, round(FARTHEST_SEC * per_sec))
    leans = np.arange(-farthest, farthest + 1)
    found = match[leans % beat]
    price = USUAL_WORTH * (leans / (USUAL_SEC * per_sec)) ** 2
    lean = int(leans[np.argmax(np.round(found - price, 6))])  # rounded: a transform's last bits are no reason
    lean = _climb(np.round(match, 6), lean, beat)
    lean += _centre(phases, lean, beat, round(NEAR_SEC * per_sec), metre.is_compound)
    teeth = np.fft.irfft(comb, beat)
    chance = float(np.sqrt(np.sum(weights**2) * teeth.var()))
    return Lean(lean, (float(match.max()) - float(match.mean())) / chance)


def _climb(match: NDArray[np.float64], lean: int, beat: int) -> int:
    """Return the top of the hill that *lean* stands on, whatever the price was: it moves with the strokes."""
    while True:
        here = match[lean % beat]
        step = 1 if match[(lean + 1) % beat] > here else -1 if match[(lean - 1) % beat] > here else 0
        if not step:
            return lean
        lean += step


def _centre(phases: Ticks, lean: int, beat: int, near: int, is_compound: bool) -> int:
    """Return how far the strokes that are on beats lie from *lean*, the median; of all teeth where beats are few."""
    off = (phases - lean + beat // 2) % beat - beat // 2
    on_beats = off[np.abs(off) <= near]
    if len(on_beats) < FEWEST_ON_BEATS:
        parts = [round(place * beat) for place, _ in (_COMPOUND if is_compound else _SIMPLE)]
        away = np.stack([(phases - lean - part + beat // 2) % beat - beat // 2 for part in parts])
        on_beats = away[np.abs(away).argmin(axis=0), np.arange(len(phases))]
        on_beats = on_beats[np.abs(on_beats) <= near]
    return int(np.sort(on_beats)[len(on_beats) // 2]) if len(on_beats) else 0


def comb_of(beat: int, tempo_bpm: float, is_compound: bool) -> NDArray[np.complex128]:
    """Return the transform of the comb over one *beat* (ticks) at *tempo_bpm* quarter notes a minute."""
    return _comb_spectrum(beat, max(4, round(SPREAD_SEC * 16 * tempo_bpm)), is_compound)


@lru_cache(maxsize=32)
def _comb_spectrum(beat: int, spread: int, is_compound: bool) -> NDArray[np.complex128]:
    """Return the transform of the comb over one *beat* (ticks), its teeth *spread* ticks wide."""
    distance = np.minimum(np.arange(beat), beat - np.arange(beat))
    tooth = np.exp(-0.5 * (distance / spread) ** 2)
    comb = np.zeros(beat)
    for place, height in _COMPOUND if is_compound else _SIMPLE:
        comb += height * np.roll(tooth, round(place * beat))
    return np.asarray(np.fft.rfft(comb))
