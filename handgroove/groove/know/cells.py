"""A bar as a pattern: which voice of the kit falls on which slot of the grid, so that bars can be compared.

A slot is one place of the feel's grid; every bar of one metre has as many. How alike two bars are is S. Dice's
measure (L. Dice, 1945, "Measures of the amount of ecologic association between species", Ecology 26(3):297-302), each
cell weighed by how much its voice makes a groove what it is (the weights are ours).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from handgroove.groove.hits import GHOST, Hit
from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.barlines import BarHits
from handgroove.groove.know.feel import FoundFeel
from handgroove.groove.know.levels import Levels


class Voice(StrEnum):
    """What a stroke does in a groove, as a listener hears it."""

    KICK = "kick"
    SNARE = "snare"
    GHOST = "ghost note"
    TIME = "hat"
    OPEN = "open hat"
    RIDE = "ride"
    PEDAL = "pedal hat"
    TOM = "tom"
    CRASH = "crash"
    HAND = "hand percussion"


WEIGHT: Mapping[Voice, float] = {
    Voice.KICK: 1.0,
    Voice.SNARE: 1.0,
    Voice.GHOST: 0.25,
    Voice.TIME: 0.45,
    Voice.OPEN: 0.45,
    Voice.RIDE: 0.45,
    Voice.PEDAL: 0.3,
    Voice.TOM: 0.8,
    Voice.CRASH: 0.15,
    Voice.HAND: 0.6,
}
_BY_PIECE = {Piece.OPEN_HAT: Voice.OPEN, Piece.PEDAL_HAT: Voice.PEDAL}
_BY_FAMILY = {
    Family.KICK: Voice.KICK,
    Family.SNARE: Voice.SNARE,
    Family.HAT: Voice.TIME,
    Family.RIDE: Voice.RIDE,
    Family.CRASH: Voice.CRASH,
    Family.TOM: Voice.TOM,
    Family.HAND: Voice.HAND,
}
_SNARE, _GHOST = Voice.SNARE, Voice.GHOST
VOICES: Mapping[Piece, Voice] = {piece: _BY_PIECE.get(piece, _BY_FAMILY[piece.family]) for piece in Piece}

Cell = tuple[int, Voice]


@dataclass(frozen=True, slots=True)
class BarCells:
    """One bar's *cells* (slot, voice); *slots* says how many slots the whole bar has."""

    cells: frozenset[Cell]
    slots: int
    weight: float

    def likeness(self, other: BarCells) -> float:
        """Return how alike two bars are, 0 (nothing in common) to 1 (the same cells)."""
        together = self.weight + other.weight
        if not together:
            return 1.0
        return 2 * weigh(self.cells & other.cells) / together


def weigh(cells: Iterable[Cell]) -> float:
    """Return the weight of *cells* together."""
    return sum([WEIGHT[voice] for _, voice in cells])


def make_cells(cells: Iterable[Cell], slots: int) -> BarCells:
    """Make a bar's pattern from its cells."""
    kept = frozenset(cells)
    return BarCells(kept, slots, weigh(kept))


class Slots:
    """Finds the slot of a hit: the nearest place of *feel*'s grid, at least eighths, shifted as the drummer is."""

    def __init__(self, feel: FoundFeel, beat_ticks: int) -> None:
        positions = feel.grid.positions if len(feel.grid.positions) > 1 else (0.0, 0.5)
        self.per_beat = len(positions)
        self._beat_ticks = beat_ticks
        self._shift = round(feel.offset_beats * beat_ticks)
        starts = [round(position * beat_ticks) for position in (*positions, 1.0)]
        self._edges = [(a + b) / 2 for a, b in pairwise(starts)]

    def slot(self, offset_ticks: int) -> int:
        """Return the slot of a hit *offset_ticks* after the bar's start."""
        beat, rest = divmod(offset_ticks - self._shift, self._beat_ticks)
        return beat * self.per_beat + bisect_left(self._edges, rest)

    def count(self, length_ticks: int) -> int:
        """Return how many slots *length_ticks* hold."""
        return max(1, round(length_ticks / self._beat_ticks * self.per_beat))


def voice_of(hit: Hit, levels: Levels) -> Voice:
    """Return the voice of *hit*: a snare's ghosts are a voice of their own."""
    voice = VOICES[hit.piece]
    return _GHOST if voice is _SNARE and levels.stroke(hit) is GHOST else voice


def cut_cells(bars: Sequence[BarHits], feel: FoundFeel, levels: Levels) -> tuple[BarCells, ...]:
    """Return the pattern of each of *bars*; a hit that rounds to the next bar line counts as the next bar's first."""
    by_beat: dict[int, Slots] = {}
    found: list[set[Cell]] = [set() for _ in range(len(bars) + 1)]
    counts = []
    for index, part in enumerate(bars):
        beat = part.bar.metre.beat_ticks
        slots = by_beat.setdefault(beat, Slots(feel, beat))
        count = slots.count(part.bar.length_ticks)
        counts.append(count)
        for hit in part.hits:
            slot = max(0, slots.slot(hit.tick - part.bar.start_tick))
            later, slot = divmod(slot, count)
            found[index + (later > 0)].add((slot, voice_of(hit, levels)))
    return tuple(make_cells(cells, count) for cells, count in zip(found, counts, strict=False))
