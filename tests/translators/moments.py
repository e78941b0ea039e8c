"""Moments and hits for the translators' tests: Am7 going to Fmaj7, at 112."""

from __future__ import annotations

from typing import Any

from handgroove.groove.hits import Hit, Stroke
from handgroove.groove.kit import Piece
from handgroove.harmony.chord import Chord, Name
from handgroove.strike import LeaveOut, Moment, Strike
from handgroove.timeline import Metre

A, F = Name("A"), Name("F")
AM7 = Chord("Am7", A, A, (0, 3, 7, 10))
FMAJ7 = Chord("Fmaj7", F, F, (0, 4, 7, 11))


def moment(**changes: Any) -> Moment:
    """Return a moment on the first beat of a bar of Am7, Fmaj7 to come, but for *changes*."""
    usual: dict[str, Any] = {
        "tick": 0,
        "bar": 1,
        "offset_ticks": 0,
        "metre": Metre(4, 4),
        "tempo_bpm": 112.0,
        "chord": AM7,
        "voicing": (60, 64, 67),
        "low": 33,
        "stroke": Stroke.NORMAL,
        "next_chord": FMAJ7,
        "next_voicing": (60, 64, 69),
        "next_low": 29,
        "ticks_to_change": 3840,
    }
    return Moment(**{**usual, **changes})


def hit(piece: Piece, velocity: int = 80) -> Hit:
    """Return a hit on *piece*."""
    return Hit(0, piece, velocity)


def one(answer: Any) -> Strike:
    """Return the only strike of *answer*."""
    assert not isinstance(answer, LeaveOut), answer
    (strike,) = answer
    assert isinstance(strike, Strike)
    return strike
