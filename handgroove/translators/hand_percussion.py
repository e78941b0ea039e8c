"""Hand percussion: shakers and bells become light top notes, hand drums become middle chord tones."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import Field

from handgroove.groove.hits import Hit, Stroke
from handgroove.groove.kit import Piece
from handgroove.host.translator import Answer, Settings
from handgroove.strike import Hand, LeaveOut, Moment, Role, Strike
from handgroove.translators.loudness import ghost_velocity, right_velocity
from handgroove.translators.tones import pitch_of

_DRUMS = frozenset(
    {
        Piece.HIGH_BONGO,
        Piece.LOW_BONGO,
        Piece.MUTE_CONGA,
        Piece.OPEN_CONGA,
        Piece.LOW_CONGA,
        Piece.HIGH_TIMBALE,
        Piece.LOW_TIMBALE,
    }
)


class HandPercussionSettings(Settings):
    """What becomes of hand percussion."""

    play: Literal["all", "drums", "nothing"] = Field(
        "all", description="all of it, the hand drums only (no shakers, bells or blocks), or nothing"
    )
    fastest: float = Field(
        5.0, ge=2, le=12, description="strokes a second; faster shakers keep only their accents"
    )


class HandPercussion:
    """Hand drums to middle chord tones by height; shakers and bells to light single notes on top of the chord."""

    name: ClassVar[str] = "hand percussion"
    summary: ClassVar[str] = "hand drums: middle chord tones; shakers, bells and blocks: light notes on top"
    settings_model: ClassVar[type[Settings]] = HandPercussionSettings

    def __init__(self, settings: HandPercussionSettings) -> None:
        self.settings = settings

    def strikes(self, hit: Hit, moment: Moment) -> Answer:
        """Return one light note, or why nothing."""
        drum = hit.piece in _DRUMS
        if self.settings.play == "nothing" or (self.settings.play == "drums" and not drum):
            return LeaveOut("hand percussion is left out in this pattern")
        if drum:
            return self._note(hit, moment, pitch_of(hit.piece, moment))
        if moment.rate > self.settings.fastest and moment.stroke is not Stroke.ACCENT:
            return LeaveOut(
                "shakers and bells thinned to their accents: the right hand has the chord to play",
                is_thinned=True,
            )
        if not moment.voicing:
            return LeaveOut("no chord sounds here (N.C.)")
        return self._note(hit, moment, moment.voicing[-1])

    @staticmethod
    def _note(hit: Hit, moment: Moment, pitch: int) -> Answer:
        loud = ghost_velocity if moment.stroke is Stroke.GHOST else right_velocity
        return [Strike((pitch,), loud(hit.velocity), Hand.RIGHT, Role.COLOUR, 240, weight=moment.importance)]
