"""What a chart is: chords bar by bar, and a chart laid over a timeline."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from handgroove.groove.hits import Feel, Marker
from handgroove.harmony.symbols.chord_model import Chord, Key
from handgroove.timeline import Metre


class Cue(StrEnum):
    """What the band does in a stretch of the chart beside playing its chord."""

    NONE = ""
    STOP = "stop"
    DRUMS_ONLY = "drums only"


@dataclass(frozen=True, slots=True)
class ChartChord:
    """One chord in a bar: where it starts, in *offset_ticks* from the bar's start, and what.

    *chord* is None for N.C. *push_ticks* is how much earlier than written it is played (0, 480 or 240). *is_held* says
    that it only goes on from the bar before.
    """

    offset_ticks: int
    chord: Chord | None
    push_ticks: int = 0
    cue: Cue = Cue.NONE
    is_held: bool = False


@dataclass(frozen=True, slots=True)
class ChartBar:
    """One bar of a chart, repeats already unfolded: its chords, its metre where it changes, its section's name."""

    chords: tuple[ChartChord, ...]
    metre: Metre | None = None
    section: str = ""


@dataclass(frozen=True)
class Chart:
    """A song's chords. *bars* are in playing order (repeats unfolded); *pickup_ticks* is an incomplete first bar,
    held by *pickup*. *key*, *tempo_bpm*, *metre* and *feel* are None where the chart does not say."""

    bars: tuple[ChartBar, ...]
    title: str = ""
    key: Key | None = None
    metre: Metre | None = None
    tempo_bpm: float | None = None
    feel: Feel | None = None
    pickup: ChartBar | None = None
    pickup_ticks: int = 0
    source: str = ""


@dataclass(frozen=True, slots=True)
class ChordSpan:
    """A *chord* (None = N.C.) from *start_tick* to *end_tick*, written ticks in which pushes are already applied.

    *push_ticks* is how much earlier than written it starts.
    """

    start_tick: int
    end_tick: int
    chord: Chord | None
    cue: Cue = Cue.NONE
    push_ticks: int = 0


@dataclass(frozen=True)
class Harmony:
    """A chart laid over a timeline: spans in order without gaps, the *key*, and the sections.

    *stated* is False where no chart was given and one chord was assumed for everything.
    """

    spans: tuple[ChordSpan, ...]
    key: Key
    sections: tuple[Marker, ...] = ()
    messages: tuple[str, ...] = ()
    stated: bool = True

    @cached_property
    def _starts(self) -> list[int]:
        return [span.start_tick for span in self.spans]

    def index_at(self, tick: int) -> int:
        """Return the index of the span that the written *tick* falls in; past the end, the last one."""
        return max(0, bisect_right(self._starts, tick) - 1)

    def at(self, tick: int) -> ChordSpan:
        """Return the span that *tick* falls in; past the end, the last one."""
        return self.spans[self.index_at(tick)]
