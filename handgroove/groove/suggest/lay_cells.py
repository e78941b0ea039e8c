"""Cells laid over a whole groove: one for each stretch of a section, varied where phrases end, quiet where figures are.

A section is what the chart or the file says, else all of it; inside it a new stretch begins where the groove keeps to
another idea for four bars. Each fourth bar turns its end, each eighth (and a stretch's last) lifts it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from handgroove.groove.hits import Stroke
from handgroove.groove.kit import Piece
from handgroove.groove.know.barlines import BarHits
from handgroove.groove.know.levels import Levels
from handgroove.groove.suggest.cell_model import LEFT_TO_THE_CELL, BarStruck, CellStroke, Struck
from handgroove.groove.suggest.cell_styles import CellStyle
from handgroove.groove.suggest.find_cell import find_cell
from handgroove.groove.suggest.lay_bar import PHRASE_BARS, Ending, has_crash, lay_bar
from handgroove.timeline import Bar

_NOTHING = Struck()
_ODD: BarStruck = {}


@dataclass(frozen=True)
class LaidCells:
    """What the cells ask at each written tick, *strokes*; everywhere else they leave strokes out.

    *strokes* are counted from *start_tick*. With *round_ticks* all of it comes again after so long (0 = once).
    """

    strokes: Mapping[int, CellStroke]
    round_ticks: int = 0
    start_tick: int = 0

    def at(self, place: int, bar: Bar, tempo_bpm: float) -> CellStroke:
        """Return what the cell asks at the written tick *place*."""
        place -= self.start_tick
        return self.strokes.get(place % self.round_ticks if self.round_ticks else place, LEFT_TO_THE_CELL)

    def hear(self, place: int, piece: Piece, stroke: Stroke) -> None:
        """Learn nothing: all is known."""


def gather(bars: Sequence[BarHits], levels: Levels, skipped: Collection[int] = ()) -> list[BarStruck]:
    """Return what is struck on each place of each of *bars*; the hits *skipped* (indices) don't count."""
    gathered: list[BarStruck] = []
    for part in bars:
        found: dict[int, Struck] = {}
        start, beat = part.bar.start_tick, part.bar.metre.beat_ticks
        for index, (hit, place) in enumerate(zip(part.hits, part.places, strict=True), part.first):
            if index in skipped:
                continue
            offset = place - start
            stroke = levels.stroke_in_bar(hit, offset, beat)
            found[offset] = found.get(offset, _NOTHING).add(hit.piece, stroke)
        gathered.append(found)
    return gathered


def lay_cells(
    bars: Sequence[BarHits],
    struck: Sequence[BarStruck],
    letters: Sequence[str],
    tempo_bpm: float,
    style: CellStyle,
    takes: frozenset[Piece],
    *,
    sections: Iterable[int] = (),
    busy: Sequence[tuple[int, int]] = (),
) -> LaidCells:
    """Lay cells in *style* over *bars*; what is *struck* in each, and which idea it is (*letters*), stand beside them.

    The hand's own pieces are those it *takes*. *sections* are the written ticks where one begins; in the stretches
    *busy* (first tick, tick after the last) the hand has something else to do.
    """
    strokes: dict[int, CellStroke] = {}
    follows_lift = False
    for first, last in _cut(bars, letters, frozenset(sections)):
        metre = bars[first].bar.metre
        model = [struck[i] if letters[i] else _ODD for i in range(first, last)]  # each keeps its turn
        cell = find_cell(model if any(model) else struck[first:last], metre, tempo_bpm, style, takes)
        for index in range(first, last):
            number = index - first
            is_last = index == last - 1 and last - first >= PHRASE_BARS
            ending = Ending.at(number, is_last=is_last)
            start = bars[index].bar.start_tick
            ahead = struck[index + 1].items() if index + 1 < len(bars) else ()
            length = bars[index].bar.end_tick - start
            laid = lay_bar(
                cell,
                number,
                struck[index],
                style,
                takes,
                ending,
                after_lift=follows_lift,
                crashes_ahead=[length + offset for offset, place in ahead if has_crash(place)],
            )
            follows_lift = ending is Ending.LIFT
            strokes.update((start + offset, stroke) for offset, stroke in laid.items())
    if busy:
        strokes = {
            place: stroke
            for place, stroke in strokes.items()
            if not any(low <= place < high for low, high in busy)
        }
    return LaidCells(strokes)


def _cut(bars: Sequence[BarHits], letters: Sequence[str], sections: Collection[int]) -> list[tuple[int, int]]:
    """Return the stretches (first bar, bar after the last, as indices) that each have a cell of their own."""
    # Phrases are counted from bar 1, not from a count-in or a pickup.
    edges = [
        i for i, part in enumerate(bars) if part.bar.number == 1 or i == 0 or part.bar.start_tick in sections
    ]
    edges += [i for i in range(1, len(bars)) if bars[i].bar.metre != bars[i - 1].bar.metre]
    cut = []
    edges = sorted({*edges, len(bars)})
    for first, last in pairwise(edges):
        begun, idea = first, ""
        for start in range(first, last, PHRASE_BARS):
            phrase = [letter for letter in letters[start : min(last, start + PHRASE_BARS)] if letter]
            usual = Counter(phrase).most_common(1)[0][0] if len(phrase) == PHRASE_BARS else idea
            if idea and usual != idea:
                cut.append((begun, start))
                begun = start
            idea = usual or idea
        cut.append((begun, last))
    return cut
