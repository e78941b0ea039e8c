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

from handgroove.metre import BAR, BEAT, GROUP, HALF_BAR, HALF_BEAT, QUARTER_BEAT, level
from handgroove.timeline import Metre, Timeline

FARTHEST_SEC = 0.14  # 80 ms of a drummer who drags throughout, and as much again as a cut may be off
SPREAD_SEC = 0.014  # of human timing, standard deviation
NEAR_SEC = 0.04  # strokes this near to a beat say where it falls
USUAL_SEC = 0.035  # how far drummers lean, standard deviation: what few strokes say is weighed against that
USUAL_WORTH = 0.7  # strokes that a lean of one such deviation must bring
FEWEST_ON_BEATS = 6  # beats that say how the take leans; fewer, and all teeth do
UNSURE_STROKES = 1.5  # by so few strokes' worth another lean, heard as such, must not match as well
# Teeth as (place in the beat, height): strokes fall on beats more than on their parts (common practice, no source).
Teeth = tuple[tuple[float, float], ...]
_SIMPLE: Teeth = ((0, 1.0), (1 / 2, 0.55), (1 / 4, 0.3), (3 / 4, 0.3), (1 / 3, 0.2), (2 / 3, 0.3))
_COMPOUND: Teeth = ((0, 1.0), (1 / 3, 0.55), (2 / 3, 0.55), (1 / 6, 0.25), (1 / 2, 0.25), (5 / 6, 0.25))
# The heights in uneven metres.
_BY_LEVEL = {BAR: 1.0, HALF_BAR: 0.8, GROUP: 0.8, BEAT: 0.8, HALF_BEAT: 0.5, QUARTER_BEAT: 0.25}
Ticks = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Lean:
    """By how many *ticks* so many *strokes* lie behind the beat as a whole (negative: before it).

    *is_unsure* says that another lean fits nearly as well, as it may where strokes are few. *clarity* is how far the
    best lean's match stands out from what strokes at random would give, in standard deviations: takes played to a beat
    have 4 to 90, strokes at random 2 to 3.7.
    """

    ticks: int
    clarity: float
    strokes: int
    is_unsure: bool = False


def find_lean(ticks: Ticks, weights: NDArray[np.float64], timeline: Timeline) -> Lean:
    """Return how strokes at *ticks*, each saying as much as its weight, lie beside the beat of *timeline*."""
    if not len(ticks):
        return Lean(0, 0.0, 0)
    start = timeline.bar_start(1)
    metre = timeline.metre_at(start)
    period, teeth = teeth_of(metre)
    per_sec = 16 * timeline.tempo_at(int(ticks[0]))
    phases = (ticks - start) % period
    histogram = np.bincount(phases, weights, minlength=period)
    comb = _comb_spectrum(period, max(4, round(SPREAD_SEC * per_sec)), teeth)
    match = np.fft.irfft(np.fft.rfft(histogram) * np.conj(comb), period)
    farthest = min(period // 2 - 1, round(FARTHEST_SEC * per_sec))
    leans = np.arange(-farthest, farthest + 1)
    found = match[leans % period]
    # Rounded: a transform's last bits are no reason.
    worth = np.round(found - USUAL_WORTH * (leans / (USUAL_SEC * per_sec)) ** 2, 6)
    lean = int(leans[np.argmax(worth)])
    others = worth[np.abs(leans - lean) > NEAR_SEC * per_sec]
    is_unsure = bool(len(others) and worth.max() - others.max() < UNSURE_STROKES)
    lean = _climb(np.round(match, 6), lean, period)
    lean += _centre(phases, lean, period, round(NEAR_SEC * per_sec), teeth)
    chance = float(np.sqrt(np.sum(weights**2) * np.fft.irfft(comb, period).var()))
    return Lean(lean, (float(match.max()) - float(match.mean())) / chance, len(ticks), is_unsure)


@lru_cache(maxsize=32)
def teeth_of(metre: Metre) -> tuple[int, Teeth]:
    """Return the ticks after which the comb for *metre* begins anew, and its teeth: a beat's, or an uneven bar's."""
    if metre.is_compound:
        return metre.beat_ticks, _COMPOUND
    if metre.unit <= 4:
        return metre.beat_ticks, _SIMPLE
    bar = metre.bar_ticks
    return bar, tuple((tick / bar, _BY_LEVEL[level(metre, tick)]) for tick in range(0, bar, 240))


def _climb(match: NDArray[np.float64], lean: int, beat: int) -> int:
    """Return the top of the hill that *lean* stands on, whatever the price was: it moves with the strokes."""
    while True:
        here = match[lean % beat]
        step = 1 if match[(lean + 1) % beat] > here else -1 if match[(lean - 1) % beat] > here else 0
        if not step:
            return lean
        lean += step


def _centre(phases: Ticks, lean: int, beat: int, near: int, teeth: Teeth) -> int:
    """Return how far the strokes that are on beats lie from *lean*, the median; of all teeth where beats are few."""
    off = (phases - lean + beat // 2) % beat - beat // 2
    on_beats = off[np.abs(off) <= near]
    if len(on_beats) < FEWEST_ON_BEATS:
        parts = [round(place * beat) for place, _ in teeth]
        away = np.stack([(phases - lean - part + beat // 2) % beat - beat // 2 for part in parts])
        on_beats = away[np.abs(away).argmin(axis=0), np.arange(len(phases))]
        on_beats = on_beats[np.abs(on_beats) <= near]
    return int(np.sort(on_beats)[len(on_beats) // 2]) if len(on_beats) else 0


@lru_cache(maxsize=32)
def _comb_spectrum(beat: int, spread: int, teeth: Teeth) -> NDArray[np.complex128]:
    """Return the transform of the comb over one *beat* (ticks), its teeth *spread* ticks wide."""
    distance = np.minimum(np.arange(beat), beat - np.arange(beat))
    tooth = np.exp(-0.5 * (distance / spread) ** 2)
    comb = np.zeros(beat)
    for place, height in teeth:
        comb += height * np.roll(tooth, round(place * beat))
    return np.asarray(np.fft.rfft(comb))
