"""The live reading: what a stroke means, from the strokes before it alone. It has no clock.

Every way to hear the running beat is weighed side by side: the player so far behind or before it, and the beat parted
into halves and quarters or into thirds. Each stroke says how well it falls into each way, older strokes say less and
less, and the way that explains them best puts the stroke where it was meant. So a player who leans by the same amount
throughout is followed from the first strokes on, however much that is within reach of a drummer, and nothing asks
whether a stroke was within so many milliseconds of anything. The weights are our own, checked on real takes.
"""

from __future__ import annotations

from functools import lru_cache
from math import log

import numpy as np

from handgroove.groove.hits import Feel
from handgroove.groove.meant.swing import swing, swings
from handgroove.metre import beat_offsets
from handgroove.timeline import Timeline

LEANS_SEC = tuple(number / 100 for number in range(-10, 11))  # 80 ms of a drummer who drags, and jitter
USUAL_SEC = 0.035  # how far drummers lean, standard deviation
USUAL_WORTH = 0.7  # what a lean of one such deviation must bring
SPREAD_SEC = 0.017  # of human timing, standard deviation
KEPT_SHARE = 0.96  # of what earlier strokes say, from stroke to stroke: some two bars of eighths count
STRAY = -6.0  # no stroke says more than that against a way of hearing: it may be an accident
OTHER_KIND = 3.0  # what thirds of a quarter, or halves of a dotted one, must bring
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
Fits = list[float]


@lru_cache(maxsize=128)
def _comb(length: int, kind: int, feel: Feel, spread: int) -> tuple[Fits, list[int]]:
    """Return for each tick of a beat how well a stroke falls there, and the written tick (up to *length*) it means."""
    unit = feel.swing_unit_ticks
    is_swung = swings(feel) and length % (2 * unit) == 0
    if kind == DUPLE and is_swung and 2 * unit == length:
        teeth = _SWUNG
    else:
        teeth = (_COMPOUND if length % 960 == 480 else _SIMPLE)[kind]
    written = np.array([round(part * length) for part, _ in teeth] + [length])
    heights = np.log([height for _, height in teeth] + [1.0])
    at = np.where(written * 3 % length == 0, written, swing(written, feel)) if is_swung else written
    away = (np.arange(length)[:, None] - at[None, :]) / spread
    fits = heights[None, :] - 0.5 * away**2
    best = fits.argmax(axis=1)
    fit = np.maximum(fits[np.arange(length), best], STRAY)
    return fit.tolist(), written[best].tolist()


class CausalReading:
    """Puts strokes where they were meant, one after another, as they come."""

    __slots__ = ("_kind", "_last_place", "_last_tick", "_lean", "_prices", "_tempo_bpm", "_worth")

    def __init__(self) -> None:
        self._prices = [USUAL_WORTH * (lean / USUAL_SEC) ** 2 for lean in LEANS_SEC]
        self.forget()

    def forget(self) -> None:
        """Forget every stroke: the position has jumped, or the music stopped."""
        self._worth = [[0.0] * len(LEANS_SEC), [0.0] * len(LEANS_SEC)]
        self._kind, self._lean = DUPLE, len(LEANS_SEC) // 2
        self._last_tick = self._last_place = -(2**40)
        self._tempo_bpm = 0.0

    @property
    def lean_sec(self) -> float:
        """Return by how much the player is behind the running beat just now (negative: before it)."""
        return LEANS_SEC[self._lean]

    def take(self, tick: int, timeline: Timeline, feel: Feel, steps_per_beat: int = 0) -> int:
        """Return the written tick that the stroke at *tick* means, and learn from it; strokes come in order.

        *steps_per_beat* are those of the pattern that is played (0 = none is: how beats are parted is learnt too).
        """
        tempo_bpm = timeline.tempo_at(tick)
        if tick < self._last_tick or abs(tempo_bpm - self._tempo_bpm) > JUMP_SHARE * self._tempo_bpm:
            self.forget()
        self._tempo_bpm, self._last_tick = tempo_bpm, tick
        start, length = _beat(tick, timeline)
        spread = _spread(tempo_bpm)
        phases = [(tick - start - round(lean * 16 * tempo_bpm)) % length for lean in LEANS_SEC]
        for kind, worth in enumerate(self._worth):
            fits, _ = _comb(length, kind, feel, spread)
            self._worth[kind] = [
                KEPT_SHARE * value + fits[phase] for value, phase in zip(worth, phases, strict=True)
            ]
        self._choose(length, steps_per_beat)
        self._last_place = max(self._last_place, self.nearest(tick, timeline, feel))
        return self._last_place

    def _choose(self, length: int, steps_per_beat: int) -> None:
        """Find the way that explains best what was struck."""
        usual = TRIPLE if length % 960 == 480 else DUPLE
        kinds = (DUPLE, TRIPLE)
        if steps_per_beat:
            usual = TRIPLE if steps_per_beat % 3 == 0 else DUPLE
            kinds = (usual,)
        best = -1e9
        for kind in kinds:
            values = [value - price for value, price in zip(self._worth[kind], self._prices, strict=True)]
            top = max(values)
            value = top - (OTHER_KIND if kind != usual else 0.0)
            if value > best:
                best, self._kind, self._lean = value, kind, values.index(top)

    def nearest(self, tick: int, timeline: Timeline, feel: Feel) -> int:
        """Return the written tick nearest to *tick* as the music is heard now, and learn nothing."""
        tempo_bpm = timeline.tempo_at(tick)
        on_time = tick - round(LEANS_SEC[self._lean] * 16 * tempo_bpm)
        start, length = _beat(on_time, timeline)
        return start + _comb(length, self._kind, feel, _spread(tempo_bpm))[1][on_time - start]


def _beat(tick: int, timeline: Timeline) -> tuple[int, int]:
    """Return where the beat of *tick* starts, and its length."""
    bar = timeline.bar_at(tick)
    offsets = beat_offsets(bar.metre)
    shift = bar.metre.bar_ticks - bar.length_ticks if bar.number == 0 else 0
    offset = tick - bar.start_tick + shift
    after = bar.metre.bar_ticks
    for start in reversed(offsets):
        if start <= offset:
            return bar.start_tick - shift + start, after - start
        after = start
    return bar.start_tick - shift, after


def _spread(tempo_bpm: float) -> int:
    """Return a player's scatter in ticks, in a few steps, so that a tempo that wanders needs no new tables."""
    steps = round(10 * log(16 * tempo_bpm * SPREAD_SEC))
    return max(4, round(2.718281828 ** (steps / 10)))
