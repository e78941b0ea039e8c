"""Swing on paper: played positions put straight, and a swing that nobody announced found in the positions.

A swung pair of ratio r is written as two equal notes; inside the pair time is stretched linearly on both sides.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from handgroove.groove.hits import Feel
from handgroove.timeline import Timeline

Offsets = float | NDArray[Any]
SIXTEENTH = 240  # ticks; what is written between them is triplets
LEAST_RATIO = 1.2  # below this a reader would not call it swing


def swings(feel: Feel) -> bool:
    """Return whether *feel* is swung enough for the page to say so."""
    return feel.swing_ratio >= LEAST_RATIO


def straighten(offset: Offsets, feel: Feel) -> Any:
    """Return where *offset* (ticks from the bar's start, one or an array), played with *feel*, stands in even notes."""
    pair, half = 2 * feel.swing_unit_ticks, feel.swing_unit_ticks
    long = pair * feel.swing_ratio / (1 + feel.swing_ratio)
    inside = offset % pair
    first, second = inside / long * half, half + (inside - long) / (pair - long) * half
    return offset - inside + np.where(inside <= long, first, second)


def swing(offset: Offsets, feel: Feel) -> Any:
    """Return where *offset*, written in even notes, is played with *feel*: the inverse of ``straighten``."""
    pair, half = 2 * feel.swing_unit_ticks, feel.swing_unit_ticks
    long = pair * feel.swing_ratio / (1 + feel.swing_ratio)
    inside = offset % pair
    first, second = inside / half * long, long + (inside - half) / half * (pair - long)
    return offset - inside + np.where(inside <= half, first, second)


def play(offset: Offsets, feel: Feel) -> Any:
    """Return where a written *offset* is played with *feel*: swung, but for written triplets, which are even."""
    return np.where(offset % SIXTEENTH == 0, swing(offset, feel), offset)


def find_swing(hands: Iterable[Sequence[int]], timeline: Timeline) -> Feel:
    """Return the eighth-note swing in the sorted onsets of each hand, or a straight feel.

    Of the beats that a hand divides, nearly half must hold one stroke between 0.56 and 0.75 of the beat and
    nothing else (other beats may be triplets), and at most one in ten an even eighth or sixteenths.
    """
    pairs: list[int] = []
    divided = even = 0
    for ticks in hands:
        for rests in _inside_beats(ticks, timeline).values():
            divided += 1
            if rests[-1] - rests[0] < 60 and 538 < rests[0] < 720:
                pairs.append(rests[0])
            elif any(440 < rest < 530 for rest in rests):
                even += 1
    if len(pairs) < 6 or len(pairs) < 0.45 * divided or even > 0.1 * divided:
        return Feel()
    middle = sorted(pairs)[len(pairs) // 2]
    return Feel(middle / (960 - middle), 480)


def _inside_beats(ticks: Sequence[int], timeline: Timeline) -> dict[int, list[int]]:
    """Return for each quarter beat that is divided the ticks after its start at which it is."""
    inside: dict[int, list[int]] = {}
    for tick in ticks:
        bar = timeline.bar_at(tick)
        beat, rest = divmod(tick - bar.end_tick, 960)
        if bar.metre.unit == 4 and 100 < rest < 880:
            inside.setdefault(bar.end_tick + beat * 960, []).append(rest)
    return inside
