"""Takes and what laws say of them: verdicts, doubts, and the words for what is wrong."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from handgroove.groove.hits import Groove
from tests.laws.moved import lead_in
from tests.laws.played import Played, play

CHART = "| Am7 | Fmaj7 | C | G |"
DOUBT = re.compile(r"ambiguous|not sure|either way|no bar lines|rubato|as played", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a law says of a take: *cases* looked at, its *faults* in words, and cases *exempt* by the law's own words.

    *doubt* is the sentence with which the reading itself said that it was not sure.
    """

    law: str
    cases: int
    faults: tuple[str, ...] = ()
    exempt: int = 0
    doubt: str = ""

    @property
    def holds(self) -> bool:
        """Return whether nothing is wrong."""
        return not self.faults


@dataclass(frozen=True)
class Take:
    """A *groove* called *name* over a *chart*, as it is and with a bar of silence before it."""

    name: str
    groove: Groove
    chart: str = CHART

    @cached_property
    def plain(self) -> Played:
        """Return the take put through the job."""
        return play(self.groove, self.chart)

    @cached_property
    def led(self) -> Groove:
        """Return the groove with a bar of silence before it."""
        return lead_in(self.groove)

    @cached_property
    def after_silence(self) -> Played:
        """Return that one put through the job."""
        return play(self.led, self.chart)

    @property
    def is_fill(self) -> bool:
        """Return whether the take is a fill clip, by its name."""
        return "_fill_" in self.name or self.name.startswith("fill")


def find_doubt(played: Played) -> str:
    """Return the message in which the reading says that it is not sure ("" = none)."""
    return next((message for message in played.part.messages if DOUBT.search(message)), "")


def names_of(pitches: Sequence[int] | set[int]) -> str:
    """Return *pitches* as names, low to high, flats but for F# and C#."""
    letters = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
    return " ".join(f"{letters[pitch % 12]}{pitch // 12 - 1}" for pitch in sorted(pitches))


def beat_of(played: Played, place: int) -> str:
    """Return the beat of the written tick *place*."""
    return played.where(place).partition(", ")[2]
