"""Cross-stick becomes a dry, short thumb or a clipped pair of the chord."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import Field

from handgroove.groove.hits import Hit
from handgroove.host.translator import Answer, Settings
from handgroove.strike import Hand, LeaveOut, Moment, Role, Strike
from handgroove.translators.graces import second_key, spare_key, with_graces
from handgroove.translators.loudness import left_velocity, right_velocity

_DRY = 0.18  # quarter notes: as short as wood sounds, still a spoken note


class ClickSettings(Settings):
    """How the cross-stick behaves."""

    play: Literal["thumb", "pair"] = Field(
        "thumb",
        description="the left thumb an octave above the low note, or the chord's upper pair in the right hand",
    )


class Click:
    """Side stick to a dry thumb, or to a clipped right-hand pair where it plays the clave."""

    name: ClassVar[str] = "click"
    summary: ClassVar[str] = "side stick: a dry left thumb, or a clipped right-hand pair"
    settings_model: ClassVar[type[Settings]] = ClickSettings

    def __init__(self, settings: ClickSettings) -> None:
        self.settings = settings

    def strikes(self, hit: Hit, moment: Moment) -> Answer:
        """Return the one dry note, with the drummer's graces, or the pair."""
        hold = round(_DRY * 960)
        if self.settings.play == "thumb":
            pitch, loud = moment.low + 12, left_velocity(hit.velocity)
            main = Strike(
                (pitch,),
                loud,
                Hand.LEFT,
                Role.SNARE,
                hold,
                fingers=(1,),
                weight=moment.importance,
                second=second_key(pitch, moment),
                spare=spare_key(pitch, moment),
            )
            return with_graces(main, moment)
        if not moment.voicing:
            return LeaveOut("no chord sounds here (N.C.)")
        return [
            Strike(
                moment.voicing[-2:],
                right_velocity(hit.velocity),
                Hand.RIGHT,
                Role.SNARE,
                hold,
                weight=moment.importance,
            )
        ]
