"""The kick becomes the left little finger's low note."""

from __future__ import annotations

from typing import ClassVar

from pydantic import Field

from handgroove.groove.hits import Hit, Stroke
from handgroove.host.translator import Answer, Settings
from handgroove.strike import Hand, Moment, Role, Strike
from handgroove.translators.loudness import ghost_velocity, left_velocity

LOWEST = 24  # C1: below it a chord's root is a rumble (common practice, no source)


class LowNoteSettings(Settings):
    """How the low note behaves."""

    push: bool = Field(
        True, description="the last kick before a new chord already takes that chord's low note"
    )
    push_within: float = Field(
        0.5, gt=0, le=2, description="how near the change it must be, in quarter notes"
    )
    follow_bass: bool = Field(True, description="take the pitch that a bass line sounds, where there is one")
    hold: float = Field(
        4.0, gt=0, le=16, description="quarter notes it is held at most, if the hand stays free"
    )


class LowNote:
    """Kick to the low note: on the chord's root or the bass line, held until the hand's next stroke."""

    name: ClassVar[str] = "low note"
    summary: ClassVar[str] = "kick: the left little finger's low note, held until the hand's next stroke"
    settings_model: ClassVar[type[Settings]] = LowNoteSettings

    def __init__(self, settings: LowNoteSettings) -> None:
        self.settings = settings

    def strikes(self, hit: Hit, moment: Moment) -> Answer:
        """Return the one low note, a little accented where the drummer leans on it."""
        ghost = moment.stroke is Stroke.GHOST
        return [
            Strike(
                (self._pitch(moment),),
                ghost_velocity(hit.velocity) if ghost else left_velocity(hit.velocity),
                Hand.LEFT,
                Role.KICK,
                round(self.settings.hold * 960),
                until_next=True,
                fingers=(5,),
                weight=0.5 if ghost else 1.0,
            )
        ]

    def _pitch(self, moment: Moment) -> int:
        if self.settings.follow_bass and moment.bass is not None:
            return max(LOWEST, moment.bass)
        change = moment.ticks_to_change
        pushed = change is not None and change <= self.settings.push_within * 960 + moment.ticks(0.03)
        if self.settings.push and pushed and moment.next_low is not None:
            return moment.next_low
        return moment.low
