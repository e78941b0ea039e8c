"""Toms as a melody, live: each stroke's note follows the drum's height, knowing only what was played before.

The causal counterpart of the figure search: the same targets (higher drums, higher notes) and the same costs (chord
tones on accents, steps rather than leaps), decided one note at a time.
"""

from __future__ import annotations

from typing import ClassVar

from pydantic import Field

from handgroove.figures.figure_costs import ACCENT_OFF_CHORD, BEAT_OFF_CHORD, THRICE, motion_cost
from handgroove.groove.hits import Hit, Stroke
from handgroove.host.translator import Answer, Settings
from handgroove.strike import Hand, Moment, Role, Strike
from handgroove.translators.loudness import right_velocity

LOW_HEIGHT, HIGH_HEIGHT = 10, 50  # the lowest floor tom and the snare


class TomContourSettings(Settings):
    """How the toms sing."""

    lowest: int = Field(62, ge=36, le=90, description="the note (MIDI number) that the lowest drum is near")
    highest: int = Field(
        79, ge=40, le=100, description="the note (MIDI number) that the highest drum is near"
    )
    follow: float = Field(0.3, ge=0, le=2, description="what a semitone off the drum's height costs")
    hold: float = Field(0.5, gt=0, le=4, description="how long a note sounds at most, in quarter notes")


class TomContour:
    """Toms (and what else is given to it) to a melodic line that follows the drums' heights."""

    name: ClassVar[str] = "tom contour"
    summary: ClassVar[str] = "toms and fills: a melody that rises and falls with the drums, note by note"
    settings_model: ClassVar[type[Settings]] = TomContourSettings

    def __init__(self, settings: TomContourSettings) -> None:
        self.settings = settings

    def strikes(self, hit: Hit, moment: Moment) -> Answer:
        """Return the note of the chord's scale that is best now: near the drum's height and the note before."""
        before = moment.right[-1] if moment.right and moment.since_ticks is not None else None
        accented = moment.stroke is Stroke.ACCENT or moment.beat_offset_ticks == 0
        pitch = min(
            range(self.settings.lowest - 3, self.settings.highest + 4),
            key=lambda p: (self._cost(p, hit.piece.height, before, accented, moment), p),
        )
        hold = round(self.settings.hold * 960)
        velocity = right_velocity(hit.velocity)
        return [Strike((pitch,), velocity, Hand.RIGHT, Role.MELODY, hold, until_next=True, weight=1.2)]

    def _cost(self, pitch: int, height: int, before: int | None, accented: bool, moment: Moment) -> float:
        share = min(1.0, max(0.0, (height - LOW_HEIGHT) / (HIGH_HEIGHT - LOW_HEIGHT)))
        target = self.settings.lowest + share * (self.settings.highest - self.settings.lowest)
        cost = self.settings.follow * abs(pitch - target)
        chord = moment.chord
        if chord is not None and pitch % 12 not in chord.tone_pcs:
            in_scale = (pitch - chord.root.pc) % 12 in chord.scale
            cost += (ACCENT_OFF_CHORD if accented else BEAT_OFF_CHORD / 2) + (0.0 if in_scale else THRICE)
        if before is not None and abs(pitch - before) <= 12:
            cost += 0.5 * motion_cost(pitch - before)
        return cost
