"""Toms in place: single low and middle notes of the chord, by the drum's height."""

from __future__ import annotations

from typing import ClassVar

from pydantic import Field

from handgroove.groove.hits import Hit
from handgroove.groove.meant.gestures import GestureKind
from handgroove.host.translator import Answer, Settings
from handgroove.strike import Hand, Moment, Role, Strike
from handgroove.translators.graces import as_tremolo, with_graces
from handgroove.translators.loudness import left_velocity, right_velocity
from handgroove.translators.tones import MIDDLE, is_stuck, next_tone, pitch_of


class TomTonesSettings(Settings):
    """How the toms behave."""

    hold: float = Field(0.5, gt=0, le=4, description="how long a note sounds at most, in quarter notes")


class TomTones:
    """Toms to single chord tones, low drums low and high drums high."""

    name: ClassVar[str] = "tom tones"
    summary: ClassVar[str] = "toms: single chord tones, as low or high as the drum"
    settings_model: ClassVar[type[Settings]] = TomTonesSettings

    def __init__(self, settings: TomTonesSettings) -> None:
        self.settings = settings

    def strikes(self, hit: Hit, moment: Moment) -> Answer:
        """Return one note, in the left hand below G3, else in the right; with the drummer's graces, or a tremolo."""
        pitch = pitch_of(hit.piece, moment)
        if pitch >= MIDDLE and is_stuck(pitch, moment):
            pitch = next_tone(pitch, moment)
        hand = Hand.RIGHT if pitch >= MIDDLE else Hand.LEFT
        loud = right_velocity if hand is Hand.RIGHT else left_velocity
        hold = round(self.settings.hold * 960)
        main = Strike(
            (pitch,), loud(hit.velocity), hand, Role.COLOUR, hold, until_next=True, weight=moment.importance
        )
        if moment.gesture is GestureKind.ROLL:
            return as_tremolo(main, moment)
        return with_graces(main, moment)
