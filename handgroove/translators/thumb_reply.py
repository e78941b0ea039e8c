"""The snare becomes the left thumb's reply above the kick's low note."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import Field

from handgroove.groove.hits import Hit, Stroke
from handgroove.groove.kit import Family
from handgroove.groove.meant.gestures import GestureKind
from handgroove.harmony.voice.replies import OCTAVE, reply_pitch
from handgroove.harmony.voice.voicing_settings import Reply
from handgroove.host.translator import Answer, Settings
from handgroove.strike import Hand, LeaveOut, Moment, Role, Strike
from handgroove.translators.graces import (
    as_accent,
    as_held,
    as_tremolo,
    second_key,
    spare_key,
    with_graces,
    with_rebound,
)
from handgroove.translators.loudness import LOUDEST_GHOST, ghost_velocity, left_velocity

TENTH = 16  # a major tenth; whether the player reaches it, the hand model decides


class ThumbReplySettings(Settings):
    """How the reply behaves."""

    reply: Literal["octave", "fifth", "tenth", "chord tone"] = Field(
        "octave", description="what stands above the low note; chord tone: the highest within the octave"
    )
    ghosts: Literal["soft", "second finger", "leave out"] = Field(
        "soft", description="ghost notes: a soft thumb, the chord's fifth with the second finger, or nothing"
    )
    rolls: Literal["tremolo", "held"] = Field(
        "tremolo", description="rolls: two keys in turn, in measured notes, or one accented note held"
    )
    soft_graces: Literal["play", "accent"] = Field(
        "play", description="graces of ghost notes: little notes like others, or a ghost with more weight"
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
        self.settings, self.reply = settings, Reply(settings.reply)

    def strikes(self, hit: Hit, moment: Moment) -> Answer:
        """Return the thumb's note with the drummer's graces; for a ghost the soft one that the settings ask for."""
        is_ghost = moment.stroke is Stroke.GHOST
        if is_ghost and self.settings.ghosts == "leave out":
            return LeaveOut("ghost notes are left out in this pattern")
        main = self._ghost(hit, moment) if is_ghost else self._main(hit, moment)
        if moment.gesture is GestureKind.ROLL:
            return (as_tremolo if self.settings.rolls == "tremolo" else as_held)(main, moment)
        if is_ghost and moment.graces and self.settings.soft_graces == "accent":
            return [as_accent(main, LOUDEST_GHOST)]
        if is_ghost and moment.gesture is GestureKind.REBOUND:
            return with_rebound(main, moment)
        return with_graces(main, moment)

    def _main(self, hit: Hit, moment: Moment) -> Strike:
        pitch = self._reply(moment)
        return Strike(
            (pitch,),
            left_velocity(hit.velocity),
            Hand.LEFT,
            Role.SNARE,
            self._hold(moment),
            fingers=(1,),
            weight=moment.importance,
            second=second_key(pitch, moment),
            spare=spare_key(pitch, moment),
        )

    def _ghost(self, hit: Hit, moment: Moment) -> Strike:
        second = self.settings.ghosts == "second finger"
        pitch = _above(moment, Reply.FIFTH) if second else self._reply(moment)
        return Strike(
            (pitch,),
            ghost_velocity(hit.velocity),
            Hand.LEFT,
            Role.SNARE,
            self._hold(moment) // 2,
            fingers=(2 if second else 1,),
            weight=moment.importance,
            second=second_key(pitch, moment),
            spare=spare_key(pitch, moment),
        )

    def _hold(self, moment: Moment) -> int:
        return min(round(self.settings.hold * 960), moment.ticks(0.3))

    def _reply(self, moment: Moment) -> int:
        return _above(moment, self.reply)


def _above(moment: Moment, reply: Reply) -> int:
    """Return the pitch of *reply* above a bass line's note that sounds, or the low note; without a chord its octave."""
    if moment.chord is None or reply is Reply.OCTAVE:
        return moment.low + OCTAVE
    reach = TENTH if reply is Reply.TENTH else OCTAVE
    if moment.bass is not None:
        return reply_pitch(moment.bass, moment.chord, reply, reach)
    together = Family.KICK in moment.together
    return reply_pitch(moment.low, moment.chord, reply, reach, together=together)
