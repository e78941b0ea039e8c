"""Gestures: what one movement of a drummer makes. Grace strokes belong to their main stroke.

A flam has one grace, a drag two, a ruff three; a buzz or roll is many strokes of one drum that are meant as one long
sound (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from handgroove.groove.hits import Groove

FLAM_SEC = 0.045  # so close no two strokes of one drum are counted, however loud


class GestureKind(StrEnum):
    """What kind of movement a stroke is part of."""

    SINGLE = "single stroke"
    FLAM = "flam"
    DRAG = "drag"
    RUFF = "ruff"
    ROLL = "roll"


@dataclass(frozen=True, slots=True)
class Gesture:
    """One movement on one drum: its *main* stroke and the *graces* that belong to it (indices of the groove's hits).

    A flam's, drag's and ruff's graces come before the main stroke; a roll's main stroke is its first, and the others
    follow it.
    """

    kind: GestureKind
    main: int
    graces: tuple[int, ...] = ()


def find_gestures(groove: Groove) -> tuple[Gesture, ...]:
    """Return the gestures of *groove* that are more than a single stroke, in order of their main strokes."""
    return ()
