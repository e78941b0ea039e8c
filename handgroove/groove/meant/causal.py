"""The live reading: what a stroke means, from the strokes before it alone. It has no clock.

Every way to hear the running beat is weighed side by side: the player so far behind or before it, and the beat parted
into halves and quarters or into thirds. Each stroke says how well it falls into each way, older strokes say less and
less, and the way that explains them best puts the stroke where it was meant. So a player who leans by the same amount
throughout is followed from the first strokes on, however much that is within reach of a drummer, and nothing asks
whether a stroke was within so many milliseconds of anything. The weights are our own, checked on real takes.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import exp, log

import numpy as np

from handgroove.groove.hits import Feel
from handgroove.groove.meant.swing import swing, swings
from handgroove.metre import beat_offsets, shift_ticks
from handgroove.timeline import Timeline

STEP_SEC = 0.01  # from one lean that is tried to the next
MOST_STEPS = 10  # to either side: 80 ms of a drummer who drags, and some
USUAL_SEC = 0.035  # how far drummers lean, standard deviation
USUAL_WORTH = 0.7  # what a lean of one such deviation must bring
SPREAD_SEC = 0.021  # of human timing, standard deviation
KEPT_SHARE = 0.96  # of what earlier strokes say, from stroke to stroke: some two bars of eighths count
STRAY = -6.0  # no stroke says more than that against a way of hearing: it may be an accident
OTHER_KIND = 1.5  # what thirds of a quarter, or halves of a dotted one, must bring
JUMP_SHARE = 0.08  # a tempo that changes by so much at once is another one
DUPLE, TRIPLE = range(2)
# Teeth as (part of the beat, height): strokes fall on beats more than on their parts (common practice, no source).
Teeth = tuple[tuple[float, float], ...]
_FINE = tuple((part / 8, 0.02) for part in (1, 3, 5, 7))
_SIMPLE: tuple[Teeth, Teeth] = (
    ((0, 1.0), (1 / 2, 0.55), (1 / 4, 0.3), (3 / 4, 0.3), *_FINE),
    ((0, 1.0), (1 / 3, 0.45), (2 / 3, 0.5), (1 / 6, 0.05), (1 / 2, 0.1), (5 / 6, 0.05)),
)
_COMPOUND: tuple[Teeth, Teeth] = (
    ((0, 1.0), (1 / 2, 0.55), (1 / 4, 0.3), (3 / 4, 0.3)),
    ((0, 1.0), (1 / 3, 0.55), (2 / 3, 0.55), (1 / 6, 0.25), (1 / 2, 0.25), (5 / 6, 0.25)),
)
# Swung eighths: the offbeat lies late by itself; what a drummer puts on the first third of a triplet is one.
_SWUNG: Teeth = ((0, 1.0), (1 / 2, 0.55), (1 / 3, 0.2), (3 / 4, 0.1))
# What a lean must bring, from the farthest behind the beat to the farthest before it.
_PRICES = [
    USUAL_WORTH * (step * STEP_SEC / USUAL_SEC) ** 2 for step in range(MOST_STEPS, -MOST_STEPS - 1, -1)
]
FASTEST_BPM = 400.0  # the fastest that live plays
AROUND_TICKS = round(16 * FASTEST_BPM * STEP_SEC) * MOST_STEPS  # no lean that is tried reaches farther


@dataclass(frozen=True, slots=True)
class Comb:
    """How well a stroke falls at each tick of a beat: *fits*, from as many beats before it that it begins at *origin*.

    *meant* is for each tick of the beat the written one that a stroke there means, up to the beat's own length.
    """

    fits: list[float]
    origin: int
    meant: list[int]


@lru_cache(maxsize=128)
def _combs(length: int, feel: Feel, spread: int) -> tuple[Comb, Comb]:
    """Return the combs of a beat of *length* ticks that is parted in two and in three."""
    parted = _COMPOUND if length % 960 == 480 else _SIMPLE
    if not swings(feel) or length % (2 * feel.swing_unit_ticks):
        return _comb(length, parted[DUPLE], None, spread), _comb(length, parted[TRIPLE], None, spread)
    duple = _SWUNG if length == 2 * feel.swing_unit_ticks else parted[DUPLE]
    return _comb(length, duple, feel, spread), _comb(length, parted[TRIPLE], feel, spread)


def _comb(length: int, teeth: Teeth, feel: Feel | None, spread: int) -> Comb:
    """Return the comb of *teeth*, those that are no thirds of the beat moved as *feel* swings (None = it doesn't)."""
    written = np.array([round(part * length) for part, _ in teeth] + [length])
    heights = np.log([height for _, height in teeth] + [1.0])
    at = np.where(written * 3 % length == 0, written, swing(written, feel)) if feel else written
    fits = heights[None, :] - 0.5 * ((np.arange(length)[:, None] - at[None, :]) / spread) ** 2
    best = fits.argmax(axis=1)
    fit = np.maximum(fits.max(axis=1), STRAY)
    around = -(-AROUND_TICKS // length)
    return Comb(np.tile(fit, 2 * around + 1).tolist(), around * length, written[best].tolist())


class CausalReading:
    """Puts strokes where they were meant, one after another, as they come."""

    __slots__ = ("_kind", "_last_place", "_last_tick", "_steps", "_tempo_bpm", "_worth")

    def __init__(self) -> None:
        self.forget()

    def forget(self) -> None:
        """Forget every stroke: the position has jumped, or the music stopped."""
        self._worth = [[0.0] * len(_PRICES), [0.0] * len(_PRICES)]
        self._kind, self._steps = DUPLE, 0
        self._last_tick = self._last_place = -(2**40)
        self._tempo_bpm = 0.0

    @property
    def lean_sec(self) -> float:
        """Return by how much the player is behind the running beat just now (negative: before it)."""
        return self._steps * STEP_SEC

    def take(self, tick: int, timeline: Timeline, feel: Feel, steps_per_beat: int = 0) -> int:
        """Return the written tick that the stroke at *tick* means, and learn from it; strokes come in order.

        *steps_per_beat* are those of the pattern that is played (0 = none is: how beats are parted is learnt too).
        """
        tempo_bpm = timeline.tempo_at(tick)
        if tick < self._last_tick or abs(tempo_bpm - self._tempo_bpm) > JUMP_SHARE * self._tempo_bpm:
            self.forget()
        self._tempo_bpm, self._last_tick = tempo_bpm, tick
        start, length = _beat(tick, timeline)
        step, spread = _pace(tempo_bpm)
        for kind, comb in enumerate(_combs(length, feel, spread)):
            first = comb.origin + tick - start - MOST_STEPS * step  # where it is for one who is most behind
            says = comb.fits[first : first + 2 * MOST_STEPS * step + 1 : step]
            earlier = self._worth[kind]
            self._worth[kind] = [KEPT_SHARE * old + new for old, new in zip(earlier, says, strict=True)]
        self._choose(length, steps_per_beat)
        self._last_place = max(self._last_place, self._nearest(tick, timeline, feel, step, spread))
        return self._last_place

    def _choose(self, length: int, steps_per_beat: int) -> None:
        """Find the way that explains best what was struck."""
        usual = TRIPLE if length % 960 == 480 else DUPLE
        kinds: tuple[int, ...] = (DUPLE, TRIPLE)
        if steps_per_beat:
            usual = TRIPLE if steps_per_beat % 3 == 0 else DUPLE
            kinds = (usual,)
        best = -1e9
        for kind in kinds:
            values = [worth - price for worth, price in zip(self._worth[kind], _PRICES, strict=True)]
            top = max(values)
            value = top - (OTHER_KIND if kind != usual else 0.0)
            if value > best:
                best, self._kind, self._steps = value, kind, MOST_STEPS - values.index(top)

    def nearest(self, tick: int, timeline: Timeline, feel: Feel) -> int:
        """Return the written tick nearest to *tick* as the music is heard now, and learn nothing."""
        return self._nearest(tick, timeline, feel, *_pace(timeline.tempo_at(tick)))

    def _nearest(self, tick: int, timeline: Timeline, feel: Feel, step: int, spread: int) -> int:
        on_time = tick - self._steps * step
        start, length = _beat(on_time, timeline)
        return start + _combs(length, feel, spread)[self._kind].meant[on_time - start]


def _beat(tick: int, timeline: Timeline) -> tuple[int, int]:
    """Return where the beat of *tick* starts, and its length; before the music beats are counted back."""
    bar = timeline.bar_at(tick)
    whole = bar.metre.bar_ticks
    base = bar.start_tick - shift_ticks(bar)
    bars, offset = divmod(tick - base, whole)
    after = whole
    for start in reversed(beat_offsets(bar.metre)):
        if start <= offset:
            break
        after = start
    return base + bars * whole + start, after - start


@lru_cache(maxsize=128)
def _pace(tempo_bpm: float) -> tuple[int, int]:
    """Return in ticks the step from one lean that is tried to the next, and a player's scatter.

    Of the scatter there are a few sizes only, so that a tempo that wanders needs no new combs.
    """
    step = max(1, round(16 * min(tempo_bpm, FASTEST_BPM) * STEP_SEC))
    return step, max(4, round(exp(round(10 * log(16 * tempo_bpm * SPREAD_SEC)) / 10)))
