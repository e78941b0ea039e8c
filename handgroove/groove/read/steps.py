"""The ruler under a groove: steps that divide the felt beat, bent by the feel.

A step is a whole part of the felt beat, which is the dotted note in 6/8, 9/8 and 12/8.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from handgroove.groove.hits import Feel
from handgroove.groove.meant.swing import straighten, swing
from handgroove.timeline import Metre

STRAIGHT = Feel()


@dataclass(frozen=True)
class Grid:
    """A ruler for rows of text: the *metre*, how many steps to a felt beat, and the *feel* that bends them."""

    metre: Metre
    steps_per_beat: int
    feel: Feel = STRAIGHT

    @cached_property
    def step_ticks(self) -> int:
        """Return the ticks of a step before the feel bends it."""
        return self.metre.beat_ticks // self.steps_per_beat

    @cached_property
    def steps_per_bar(self) -> int:
        """Return how many steps fill a bar."""
        return self.metre.bar_ticks // self.step_ticks

    @cached_property
    def faults(self) -> list[str]:
        """Return why no groove can be written on this grid (nothing when one can)."""
        unit = self.feel.swing_unit_ticks
        wrong = []
        if self.metre.beat_ticks % self.steps_per_beat:
            wrong.append(f"{self.steps_per_beat} steps don't divide a beat of {self.metre} evenly")
        elif self.feel.swing_ratio != 1 and unit % self.step_ticks:
            name = "eighths" if unit == 480 else "sixteenths"
            wrong.append(
                f"{self.steps_per_beat} steps to a beat of {self.metre} have none on the swung {name}"
            )
        if self.feel.swing_ratio != 1 and self.metre.bar_ticks % (2 * unit):
            wrong.append(f"a bar of {self.metre} does not hold whole pairs of swung notes")
        return wrong

    def tick(self, step: int) -> int:
        """Return the tick of *step*, counted from the grid's start, bent by the feel."""
        return round(float(swing(step * self.step_ticks, self.feel)))

    def nearest_step(self, tick: float) -> int:
        """Return the step that *tick*, as it was played, lies nearest to."""
        return round(float(straighten(tick, self.feel)) / self.step_ticks)
