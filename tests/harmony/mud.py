"""Mud in a voicing: what the low interval limits forbid."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from handgroove.harmony.voice.low_limits import is_muddy


def find_mud(pitches: Sequence[int]) -> list[tuple[int, int]]:
    """Return the neighbouring pairs of sounding *pitches* that are below the low interval limits."""
    ordered = sorted(set(pitches))
    return [pair for pair in pairwise(ordered) if is_muddy(*pair)]
