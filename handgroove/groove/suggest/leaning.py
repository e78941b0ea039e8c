"""Where a drummer leans: what each place of a bar weighs, and what the bars of a stretch have there together.

The weights are design choices.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from handgroove.groove.hits import Stroke
from handgroove.groove.kit import Family, Piece
from handgroove.groove.suggest.cell_model import BarStruck, Struck

TIME = frozenset({Family.HAT, Family.RIDE})
_ALWAYS_STRONG = frozenset({Family.KICK, Family.CRASH})
_WEIGHT = {Family.KICK: 1.0, Family.SNARE: 1.0, Family.CRASH: 1.0, Family.TOM: 0.5, Family.HAND: 0.4}
_ACCENT, _PLAIN, _GHOST = 1.0, 0.3, 0.1  # of a hat or ride; a ghost of any drum
_OPEN = 1.8  # an open hat sings
_PUSH, _ANSWER, _UPBEAT = 1.0, 1.0, 0.6  # more for a kick, a snare, a hat's or ride's accent off the beat
_OFF_BEAT = {Family.KICK: _PUSH, Family.SNARE: _ANSWER}


def leans(struck: Struck) -> bool:
    """Return whether the drummer leans on a place: an accent of hats or ride, an open hat, a kick, snare or crash."""
    for piece, stroke in zip(struck.pieces, struck.strokes, strict=True):
        family = piece.family
        if family in _ALWAYS_STRONG or piece is Piece.OPEN_HAT:
            return True
        if (
            stroke is Stroke.ACCENT
            if family in TIME
            else family is Family.SNARE and stroke is not Stroke.GHOST
        ):
            return True
    return False


def is_accented(struck: Struck) -> bool:
    """Return whether a hat or ride has an accent there."""
    return Stroke.ACCENT in struck.strokes and any(
        piece.family in TIME and stroke is Stroke.ACCENT
        for piece, stroke in zip(struck.pieces, struck.strokes, strict=True)
    )


def has_own(struck: Struck, takes: frozenset[Piece]) -> bool:
    """Return whether a snare is struck or a drum accented there that the hand *takes*, no hat or ride: it stays."""
    return any(
        piece in takes
        and piece.family not in TIME
        and (stroke is Stroke.ACCENT or (piece.family is Family.SNARE and stroke is not Stroke.GHOST))
        for piece, stroke in zip(struck.pieces, struck.strokes, strict=True)
    )


def _answers(struck: Struck) -> bool:
    """Return whether a kick or a snare that is no ghost is struck there."""
    return any(
        piece.family is Family.KICK or (piece.family is Family.SNARE and stroke is not Stroke.GHOST)
        for piece, stroke in zip(struck.pieces, struck.strokes, strict=True)
    )


def _weigh(struck: Struck, offset: int, beat_ticks: int) -> tuple[float, float]:
    """Return what hats and ride weigh on a place, and what the other pieces do."""
    time, weight, off = 0.0, 0.0, offset % beat_ticks != 0
    for piece, stroke in zip(struck.pieces, struck.strokes, strict=True):
        family = piece.family
        if piece is Piece.OPEN_HAT:
            time += _OPEN + _UPBEAT * off
        elif family in TIME:
            time += _ACCENT if stroke is Stroke.ACCENT else _PLAIN if stroke is Stroke.NORMAL else _GHOST
            time += _UPBEAT if off and stroke is Stroke.ACCENT else 0.0
        elif stroke is Stroke.GHOST and family is not Family.KICK:
            weight += _GHOST
        else:
            weight += _WEIGHT[family] + (_OFF_BEAT.get(family, 0.0) if off else 0.0)
    return time, weight


@dataclass(slots=True)
class Profile:
    """What the bars of a stretch have on each place: weight, and how many bars strike, lean on or accent it."""

    bars: int = 0
    weight: dict[int, float] = field(default_factory=dict)
    time: dict[int, float] = field(default_factory=dict)
    struck: dict[int, int] = field(default_factory=dict)
    leant: dict[int, int] = field(default_factory=dict)
    accents: dict[int, int] = field(default_factory=dict)
    own: dict[int, int] = field(default_factory=dict)
    pushes: dict[int, int] = field(default_factory=dict)

    def add(self, bar: BarStruck, beat_ticks: int, takes: frozenset[Piece]) -> None:
        """Count one more bar in; *takes* are the pieces that the hand itself takes."""
        self.bars += 1
        for offset, struck in bar.items():
            time, others = _weigh(struck, offset, beat_ticks)
            self.weight[offset] = self.weight.get(offset, 0.0) + time + others
            self.time[offset] = self.time.get(offset, 0.0) + time
            self.struck[offset] = self.struck.get(offset, 0) + 1
            self.leant[offset] = self.leant.get(offset, 0) + leans(struck)
            self.accents[offset] = self.accents.get(offset, 0) + is_accented(struck)
            if offset % beat_ticks and _answers(struck):
                self.pushes[offset] = self.pushes.get(offset, 0) + 1
            self.own[offset] = self.own.get(offset, 0) + has_own(struck, takes)
