"""The snare becomes the left thumb's reply above the kick's low note."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import Field

from handgroove.groove.hits import Hit, Stroke
from handgroove.host.translator import Answer, Settings
from handgroove.strike import Hand, LeaveOut, Moment, Role, Strike
from handgroove.translators.loudness import ghost_velocity, left_velocity


class ThumbReplySettings(Settings):
    """How the reply behaves."""

    reply: Literal["octave", "fifth", "tenth", "chord tone"] = Field(
        "octave", description="what stands above the low note; chord tone: the highest within the octave"
    )
    ghosts: Literal["soft", "second finger", "leave out"] = Field(
        "soft", description="ghost notes: a soft thumb, the chord's fifth with the second finger, or nothing"
    )
    hold: float = Field(
        0.5, gt=0, le=4, description="how long it sounds at most, in quarter notes: short, a crack"
    )


class ThumbReply:
    """Snare to the thumb: an octave (fifth, tenth, chord tone) above the low note, short, with ghosts soft."""

    name: ClassVar[str] = "thumb reply"
    summary: ClassVar[str] = "snare: the left thumb above the low note, short; ghost notes soft or left out"
    settings_model: ClassVar[type[Settings]] = ThumbReplySettings

    def __init__(self, settings: ThumbReplySettings) -> None:
        self.settings = settings

    def strikes(self, hit: Hit, moment: Moment) -> Answer:
        """Return the thumb's note; for a ghost the soft one that the settings ask for."""
        hold = min(round(self.settings.hold * 960), moment.ticks(0.3))
        if moment.stroke is not Stroke.GHOST:
            pitch = moment.low + self._reply(moment)
            velocity = left_velocity(hit.velocity)
            weight = 1.25 if moment.stroke is Stroke.ACCENT else 1.0
            return [Strike((pitch,), velocity, Hand.LEFT, Role.SNARE, hold, fingers=(1,), weight=weight)]
        if self.settings.ghosts == "leave out":
            return LeaveOut("ghost notes are left out in this pattern")
        second = self.settings.ghosts == "second finger"
        pitch = moment.low + (self._fifth(moment) if second else self._reply(moment))
        velocity = ghost_velocity(hit.velocity)
        finger = 2 if second else 1
        return [Strike((pitch,), velocity, Hand.LEFT, Role.SNARE, hold // 2, fingers=(finger,), weight=0.3)]

    @staticmethod
    def _above(moment: Moment, wanted: tuple[int, ...], fallback: int) -> int:
        """Return the first of *wanted* (semitones above the low note) that is a chord tone, else *fallback*."""
        if moment.chord is None:
            return fallback
        pcs = moment.chord.tone_pcs
        return next((step for step in wanted if (moment.low + step) % 12 in pcs), fallback)

    def _fifth(self, moment: Moment) -> int:
        return self._above(moment, (7, 8, 6, 5, 9), 12)

    def _reply(self, moment: Moment) -> int:
        match self.settings.reply:
            case "octave":
                return 12
            case "fifth":
                return self._fifth(moment)
            case "tenth":
                return self._above(moment, (16, 15), 12)
            case "chord tone":
                return self._above(moment, (11, 10, 9, 8, 7, 6), 12)
