"""Hats and ride become the right hand's comping: accents carry the chord, light strokes rock beneath it."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import Field

from handgroove.groove.hits import Hit, Stroke
from handgroove.groove.kit import Family, Piece
from handgroove.host.translator import Answer, Settings
from handgroove.strike import Hand, LeaveOut, Moment, Role, Strike
from handgroove.translators.loudness import ghost_velocity, right_velocity

_EIGHTH = 480
LIGHT = 0.6  # of what a chord would matter, where one key stands for it


class CompingSettings(Settings):
    """How the right hand takes hats or ride."""

    fastest: float = Field(
        7.0,
        ge=3,
        le=12,
        description="strokes a second that the hand rocks; faster ones are thinned to eighths",
    )
    light: Literal["thumb", "top", "leave out"] = Field(
        "thumb", description="what light strokes play: the chord's lowest note, its highest, or nothing"
    )
    full: Literal["accents", "beats", "backbeats", "always", "never"] = Field(
        "accents",
        description="which strokes may carry the whole chord; the other strong ones get its upper pair",
    )
    open_hold: float = Field(
        1.0, gt=0, le=4, description="how long an open hat's chord is held, in quarter notes"
    )
    hold: float = Field(
        0.5, gt=0, le=4, description="how long a closed stroke's chord is held, in quarter notes"
    )


class Comping:
    """Hat and ride to right-hand chords: whole, upper pair, or a single light note, and thinned where too fast."""

    name: ClassVar[str] = "comping"
    summary: ClassVar[str] = (
        "hat and ride: right-hand chords on accents, single light notes between, open hats held"
    )
    settings_model: ClassVar[type[Settings]] = CompingSettings

    def __init__(self, settings: CompingSettings) -> None:
        self.settings = settings

    def strikes(self, hit: Hit, moment: Moment) -> Answer:
        """Return the chord, pair or single note for one stroke, or why it is left out."""
        if not moment.voicing:
            return LeaveOut("no chord sounds here (N.C.)")
        if self._too_fast(moment):
            name = "ride" if hit.piece.family is Family.RIDE else "hats"
            rate = round(moment.rate)
            return LeaveOut(
                f"{name} thinned to eighths: {rate} a second is more than a right hand can repeat",
                is_thinned=True,
            )
        if hit.piece is Piece.OPEN_HAT:
            return [self._strike(hit, moment, moment.voicing, self.settings.open_hold)]
        if hit.piece is Piece.PEDAL_HAT:
            return self._pedal_hat(hit, moment)
        pitches = self._ride(moment) if hit.piece.family is Family.RIDE else self._hat(moment)
        if not pitches:
            return LeaveOut("light strokes are left out in this pattern")
        strong = len(pitches) > 1
        hold = self.settings.hold if strong else 0.6 * self.settings.hold
        return [self._strike(hit, moment, pitches, hold)]

    def _too_fast(self, moment: Moment) -> bool:
        """Return whether the stroke is one that a fast passage is thinned by: between the eighths, and no accent."""
        if moment.rate <= self.settings.fastest or moment.stroke is Stroke.ACCENT:
            return False
        return not self._on(moment, _EIGHTH)

    @staticmethod
    def _on(moment: Moment, unit_ticks: int) -> bool:
        """Return whether the stroke is meant on a multiple of *unit_ticks* in the bar."""
        return moment.offset_ticks % unit_ticks == 0

    @staticmethod
    def _beat(moment: Moment) -> int:
        """Return the felt beat that the stroke is on, from 0, or -1 where it is on none."""
        beat, beside = divmod(moment.offset_ticks, moment.metre.beat_ticks)
        return -1 if beside else beat

    def _hat(self, moment: Moment) -> tuple[int, ...]:
        # Sixteenths: the pair on the eighths, thumb between. Eighths alone never are, however fast the tempo, and where
        # the eighths of very fast sixteenths are left, chords fall on the beats: no hand repeats them quicker for long.
        shorter = moment.rate > 0 and moment.ticks(1 / moment.rate) < 0.75 * _EIGHTH
        quick = 0.65 * self.settings.fastest
        on_beats = shorter and moment.rate / 2 > quick
        between = on_beats and self._beat(moment) < 0 and self._on(moment, _EIGHTH)
        if moment.stroke is Stroke.ACCENT and not between:
            return self._strong(moment)
        rocking = shorter and moment.rate > quick and not on_beats
        if rocking and self._on(moment, _EIGHTH) and moment.stroke is not Stroke.GHOST:
            return moment.voicing[-2:]
        return self._light(moment)

    def _strong(self, moment: Moment) -> tuple[int, ...]:
        beat = self._beat(moment)
        # The whole chord falls where the kick usually does; on the backbeat the left thumb adds its note to the pair.
        whole = {
            "accents": beat % 2 == 0 and beat >= 0,
            "beats": beat >= 0,
            "backbeats": beat > 0 and beat % 2 == 1,
            "always": True,
            "never": False,
        }[self.settings.full]
        return moment.voicing if whole else moment.voicing[-2:]

    def _light(self, moment: Moment) -> tuple[int, ...]:
        match self.settings.light:
            case "thumb":
                return moment.voicing[:1]
            case "top":
                return moment.voicing[-1:]
            case "leave out":
                return ()

    def _ride(self, moment: Moment) -> tuple[int, ...]:
        """Return a light line: not every ride stroke is a chord; 2 and 4 carry the pair, the skip note is a thumb."""
        beat = self._beat(moment)
        if moment.stroke is Stroke.ACCENT and self.settings.full == "always":
            return moment.voicing
        if beat < 0:
            return self._light(moment)
        if moment.stroke is Stroke.ACCENT and self.settings.full == "beats":
            return moment.voicing
        if beat % 2 == 1 and self.settings.full != "never":
            return moment.voicing[-2:]
        return moment.voicing[-1:]

    def _pedal_hat(self, hit: Hit, moment: Moment) -> Answer:
        """Return the chord on 2 and 4 where the foot marks them alone or under a ride; beneath other hats nothing."""
        beat = self._beat(moment)
        if beat >= 0 and (beat % 2 == 1 or self.settings.full == "beats"):
            return [self._strike(hit, moment, moment.voicing, self.settings.hold)]
        if Family.RIDE in moment.together or moment.right:
            return LeaveOut("the foot's hat is covered by what the right hand already plays")
        return [self._strike(hit, moment, moment.voicing[:1], 0.5 * self.settings.hold)]

    @staticmethod
    def _strike(hit: Hit, moment: Moment, pitches: tuple[int, ...], hold: float) -> Strike:
        ghost = moment.stroke is Stroke.GHOST
        velocity = ghost_velocity(hit.velocity) if ghost else right_velocity(hit.velocity)
        weight = moment.importance * (LIGHT if len(pitches) == 1 else 1.0)
        return Strike(
            pitches, velocity, Hand.RIGHT, Role.COMPING, round(hold * 960), until_next=True, weight=weight
        )
