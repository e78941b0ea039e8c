"""A crash becomes a chord of both hands: the whole voicing over the low octave."""

from __future__ import annotations

from typing import ClassVar

from pydantic import Field

from handgroove.groove.hits import Hit
from handgroove.groove.kit import Family, Piece
from handgroove.host.translator import Answer, Settings
from handgroove.strike import Hand, LeaveOut, Moment, Role, Strike
from handgroove.translators.guide_tones import guide_pair
from handgroove.translators.loudness import left_velocity, right_velocity

_BOTH_HANDS = 1.75  # of what one hand's stroke would matter
_AGAIN_SEC = (
    0.24  # so soon after another crash the right hand strikes two notes: no hand repeats a chord so quickly
)


class TwoHandedChordSettings(Settings):
    """How the chord behaves."""

    hold: float = Field(2.0, gt=0, le=16, description="how long it is held at most, in quarter notes")
    octave: bool = Field(True, description="the left hand plays its low note doubled an octave up, not alone")


class TwoHandedChord:
    """Crash to a chord of both hands; a splash is the right hand alone."""

    name: ClassVar[str] = "two-handed chord"
    summary: ClassVar[str] = "crash: the full chord over the low octave, both hands together"
    settings_model: ClassVar[type[Settings]] = TwoHandedChordSettings

    def __init__(self, settings: TwoHandedChordSettings) -> None:
        self.settings = settings

    def strikes(self, hit: Hit, moment: Moment) -> Answer:
        """Return the right hand's chord and, but for a splash, the left hand's octave."""
        hold = round(self.settings.hold * 960)
        if not moment.voicing:
            return LeaveOut("no chord sounds here (N.C.)")
        since, chord = moment.since_ticks, moment.chord
        is_again = hit.piece.family is Family.CRASH and since is not None and since < moment.ticks(_AGAIN_SEC)
        right = Strike(
            guide_pair(chord, moment.voicing) if is_again and chord else moment.voicing,
            right_velocity(hit.velocity),
            Hand.RIGHT,
            Role.COMPING,
            hold,
            until_next=True,
            weight=_BOTH_HANDS * moment.importance,
        )
        if hit.piece is Piece.SPLASH:
            return [right]
        low = moment.low if moment.bass is None else moment.bass
        pitches, fingers = ((low, low + 12), (5, 1)) if self.settings.octave else ((low,), (5,))
        left = Strike(
            pitches,
            left_velocity(hit.velocity),
            Hand.LEFT,
            Role.BASS,
            hold,
            until_next=True,
            fingers=fingers,
            weight=_BOTH_HANDS * moment.importance,
        )
        return [left, right]
