"""Swing on paper: played positions put straight, and a swing that nobody announced found in the positions.

A swung pair of ratio r is written as two equal notes; inside the pair time is stretched linearly on both sides.
"""

from __future__ import annotations

from collections.abc import Sequence

from handgroove.groove.hits import Feel
from handgroove.timeline import Timeline

LEAST_RATIO = 1.2  # below this a reader would not call it swing
TRIPLET_RATIO = 2.0


def swings(feel: Feel) -> bool:
    """Return whether *feel* is swung enough for the page to say so."""
    return feel.swing_ratio >= LEAST_RATIO


def straighten(offset: float, feel: Feel) -> float:
    """Return where *offset* (ticks from the bar's start), played with *feel*, stands in even notes."""
    pair = 2 * feel.swing_unit_ticks
    start = offset // pair * pair
    inside = offset - start
    long = pair * feel.swing_ratio / (1 + feel.swing_ratio)
    half = feel.swing_unit_ticks
    if inside <= long:
        return start + inside / long * half
    return start + half + (inside - long) / (pair - long) * half


def find_swing(ticks: Sequence[int], timeline: Timeline) -> Feel:
    """Return the eighth-note swing in *ticks* (sorted onsets), or a straight feel.

    It swings if at least four in five of the beats that are divided at all have one stroke between 0.56 and 0.75
    of the beat and nothing else inside; what else a beat holds would be a triplet or sixteenths.
    """
    inside: dict[int, list[int]] = {}
    for tick in ticks:
        bar = timeline.bar_at(tick)
        if bar.metre.unit != 4:
            continue
        beat, rest = divmod(tick - bar.end_tick, 960)
        if 100 < rest < 880:
            inside.setdefault(bar.end_tick + beat * 960, []).append(rest)
    pairs = [rests[0] for rests in inside.values() if max(rests) - min(rests) < 60 and 538 < rests[0] < 720]
    if len(pairs) < 6 or len(pairs) < 0.8 * len(inside):
        return Feel()
    middle = sorted(pairs)[len(pairs) // 2]
    return Feel(middle / (960 - middle), 480)
