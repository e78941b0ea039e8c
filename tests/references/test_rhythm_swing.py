"""Swing ratios as published.

C. Corcoran and K. Frieler (2021, "Playing it straight", Music Perception 38(4):372-385): the beat-upbeat ratio. A.
Friberg and A. Sundström (2002, "Swing ratios and ensemble timing in jazz performance", Music Perception
19(3):333-349): up to 3.5 to 1 slow, 1 to 1 fast, the short note about 100 ms at medium to fast tempos; the points below
are derived from that (ratio = beat length over 100 ms, less 1, at most 3.5).
"""

from __future__ import annotations

from random import Random

import pytest

from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.groove.know.barlines import part_bars
from handgroove.groove.know.feel import find_feel
from handgroove.timeline import Metre, Timeline

SHORT_SEC = 0.1
DERIVED = {
    133: 3.5,
    150: 3.0,
    160: 2.75,
    180: 2.33,
    200: 2.0,
    220: 1.73,
    240: 1.5,
    260: 1.31,
    280: 1.14,
    300: 1.0,
}


def ride(tempo_bpm: float, ratio: float, bars: int = 24, spread_sec: float = 0.008) -> Groove:
    """Return a ride playing every beat and upbeat at *ratio*, with human timing of *spread_sec*."""
    random, share = Random(5), ratio / (1 + ratio)
    spread = spread_sec * tempo_bpm * 16
    places = [(beat + upbeat) * 960 for beat in range(4 * bars) for upbeat in (0, share)]
    hits = (Hit(max(0, round(place + random.gauss(0, spread))), Piece.RIDE, 80) for place in places)
    return Groove(tuple(sorted(hits, key=lambda h: h.order)), Timeline.of(Metre(4, 4), tempo_bpm, bars))


@pytest.mark.parametrize("tempo_bpm", DERIVED)
def test_ratios_along_the_tempo_curve(tempo_bpm: int) -> None:
    """Rides swung as jazz drummers swing at each tempo are measured within a tenth."""
    groove = ride(tempo_bpm, DERIVED[tempo_bpm])
    found = find_feel(part_bars(groove, [hit.tick for hit in groove.hits]), tempo_bpm)
    assert found.swing_ratio == pytest.approx(DERIVED[tempo_bpm], rel=0.1)
    assert found.confidence > 0.4


def test_derived_curve_is_the_published_shape() -> None:
    """The curve falls with tempo from 3.5 to 1, and its short note is never under 80 ms."""
    ratios = list(DERIVED.values())
    assert ratios == sorted(ratios, reverse=True)
    assert (ratios[0], ratios[-1]) == (3.5, 1.0)
    assert all(60 / bpm / (1 + ratio) > 0.08 for bpm, ratio in DERIVED.items())
    assert all(abs(60 / bpm / (1 + ratio) - SHORT_SEC) < 0.002 for bpm, ratio in DERIVED.items())


def test_triplet_swing_is_two() -> None:
    """An upbeat on the last of three triplets is a ratio of 2, whose binary logarithm is 1."""
    groove = ride(140, 2.0, spread_sec=0.0)
    bars = part_bars(groove, [hit.tick for hit in groove.hits])
    assert find_feel(bars, 140).swing_ratio == pytest.approx(2.0, abs=0.02)
