"""Measuring hands."""

from __future__ import annotations

from itertools import count

from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.hands.player import Player, read_player
from handgroove.timeline import Metre, Timeline
from tests.tools.measure_hands import measure_guard, measure_hands, measure_settling


def groove() -> Groove:
    """Return two bars of rock."""
    hits = [Hit(i * 480, Piece.CLOSED_HAT, 110 if i % 2 == 0 else 60, 42) for i in range(16)]
    hits += [Hit(bar * 3840 + beat * 960, Piece.KICK, 100, 36) for bar in range(2) for beat in (0, 2)]
    hits += [Hit(bar * 3840 + beat * 960, Piece.SNARE, 100, 38) for bar in range(2) for beat in (1, 3)]
    return Groove(tuple(sorted(hits, key=lambda hit: hit.order)), Timeline.of(Metre(4, 4), 112, 2))


def test_plain_rock_survives_whole() -> None:
    """Every kick and snare of a plain groove is kept, by every size of hand, and all can be played."""
    for tally in measure_hands([groove()], [Player(), read_player("octave")]):
        assert tally.hits["kick"] == tally.kept["kick"] == 4
        assert tally.share("snare") == 1.0
        assert tally.cant == 0


def test_speed_is_measured_by_the_clock_that_is_handed_in() -> None:
    """A pretended clock that ticks once a look gives one second a measurement."""
    ticking = count()
    assert measure_settling(2, lambda: float(next(ticking))) == (40, 1.0)
    assert set(measure_guard(1, lambda: float(next(ticking)))) == {1.0}
