"""One take as it is heard, and what measures answer."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from handgroove import read_groove
from handgroove.desk.desk import Desk
from handgroove.hands.ease import BY_STEP
from handgroove.harmony.chart import parse_chart
from handgroove.part import Part

CHART = "| Am7 | Fmaj7 | C | G |"


@dataclass(frozen=True, slots=True)
class Count:
    """What was *found* in one take *of* how many; *worst* says where, in words ("" = nowhere)."""

    found: int
    of: int
    worst: str = ""


@dataclass(frozen=True, slots=True)
class Match:
    """What was *found* of all takes together, *of* how many, and what *chance* alone would find."""

    found: float
    of: float
    chance: float
    told: str = ""


@dataclass(frozen=True)
class Heard:
    """The take called *name*, on a *desk*."""

    name: str
    desk: Desk

    @classmethod
    def of(cls, path: Path, chart: str = CHART) -> Heard:
        """Return the take at *path* over *chart*."""
        return cls(path.stem, Desk(read_groove(path), parse_chart(chart)))

    @cached_property
    def part(self) -> Part:
        """Return the finished part."""
        return self.desk.part

    @cached_property
    def steps(self) -> tuple[Part, ...]:
        """Return the finished part at each of the five steps of ease."""
        return tuple(self.desk.change(ease=ease).part for ease in BY_STEP)
