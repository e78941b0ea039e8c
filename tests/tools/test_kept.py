"""Measuring what is kept."""

from __future__ import annotations

from dataclasses import replace

from handgroove import read_pattern
from handgroove.groove.hits import Hit
from handgroove.groove.kit import Piece
from handgroove.hands.player import Player
from tests.tools.kept import AIMS, format_kept, measure


def test_a_plain_groove_is_kept_whole() -> None:
    """Every stroke of straight eighths is kept, raw and by gesture, and nothing can't be played."""
    kept = measure([read_pattern("straight eighths").groove(4)], Player())
    assert all(kept.raw(kind) == kept.by_gesture(kind) == 1.0 for kind in ("snare", "kick"))
    assert kept.untold == 0
    assert not kept.cant


def test_a_merged_stroke_counts_raw_and_not_by_gesture() -> None:
    """A snare's rebound is lost as a stroke, and its gesture is kept."""
    groove = read_pattern("straight eighths").groove(1)
    hits = tuple(sorted((*groove.hits, Hit(1020, Piece.SNARE, 52, 38)), key=lambda hit: hit.order))
    kept = measure([replace(groove, hits=hits)], Player())
    assert (kept.strokes["snare"], kept.kept["snare"]) == (3, 2)
    assert (kept.gestures["snare"], kept.gestures_kept["snare"]) == (2, 2)
    assert kept.kinds == {"snare rebound": 1}
    assert all(kind in format_kept(kept) for kind in AIMS)
