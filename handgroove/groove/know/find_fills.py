"""From chances to fills: which bars are fills, at which beat each begins, and where and on what it lands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.backbone import Backbone, Idea
from handgroove.groove.know.barlines import BarHits
from handgroove.groove.know.cells import BarCells, Voice, make_cells
from handgroove.groove.know.fills import BAR_MODEL, weigh_bars
from handgroove.groove.know.leaving import PHRASE

FEWEST_HITS = 3
LEAVING = (
    0.8  # the chance of a fill where the time is left for toms or a snare run before a bar is over (ours)
)
BEFORE_GROOVE = 0.85  # the chance that a bar before the groove's first needs, where no crash follows (ours)
STILL_GROOVE = 0.6  # a beat at least this like the groove's own is not yet the fill


@dataclass(frozen=True, slots=True)
class FoundFill:
    """A fill: the numbers of its bars, where it begins and lands (written ticks), on which pieces, how likely, and why.

    *hits* are the indices of the groove's hits in it. *crash* says that a crash ends it.
    """

    bar_numbers: tuple[int, ...]
    start_tick: int
    landing_tick: int
    lands: tuple[Piece, ...]
    chance: float
    reasons: tuple[str, ...]
    hits: tuple[int, ...]

    @property
    def crash(self) -> bool:
        """Return whether it lands on a crash."""
        return any(piece.family is Family.CRASH for piece in self.lands)


def find_fills(
    bars: Sequence[BarHits],
    cells: Sequence[BarCells],
    beats: Sequence[float],
    backbone: Backbone,
    leaving: Sequence[int | None],
) -> tuple[FoundFill, ...]:
    """Find the fills among *bars*: neighbouring fill bars are one fill.

    *leaving* says at which beat a bar leaves the time for a fill (None = not before its end).
    """
    rows = weigh_bars(cells, beats, backbone)
    answers = _find_answers(backbone.letters)
    chances = [
        max(0.0 if index in answers else BAR_MODEL.chance(row), 0.0 if leaves is None else LEAVING)
        if len(bar.cells) >= FEWEST_HITS
        else 0.0
        for index, (row, bar, leaves) in enumerate(zip(rows, cells, leaving, strict=True))
    ]
    for early in range(_begun(backbone.letters)):
        if chances[early] < BEFORE_GROOVE and (0, Voice.CRASH) not in cells[early + 1].cells:
            chances[early] = 0.0
    found = []
    index = 0
    while index < len(bars):
        if chances[index] <= 0.5:
            index += 1
            continue
        last = index
        while last + 1 < len(bars) and chances[last + 1] > 0.5 and last - index < 3 and not leaving[last + 1]:
            last += 1
        top = max(range(index, last + 1), key=lambda i: chances[i])
        beat = leaving[index]
        bar = bars[index].bar
        if beat is None:
            start = _start(bars[index], cells[index], beats[index], backbone)
        else:
            start = bar.start_tick + beat * bar.metre.beat_ticks
        reasons = BAR_MODEL.reasons(rows[top]) or ("the time-keeping stops",)
        found.append(_make(bars, index, last, start, chances[top], reasons))
        index = last + 1
    return tuple(found)


def _begun(letters: Sequence[str]) -> int:
    """Return the first bar that is the groove's."""
    return next((index for index, letter in enumerate(letters) if letter), 0)


def _find_answers(letters: Sequence[str]) -> set[int]:
    """Return the bars, but for fourth ones, that take turns with the groove's: odd ones with odd ones two bars away."""
    begun = _begun(letters)
    return {
        index
        for index in range(2, len(letters) - 2)
        if not any(letters[index - 2 : index + 3 : 2])
        and all(letters[index - 1 : index + 2 : 2])
        and (index - begun) % PHRASE != PHRASE - 1
    }


def whole_clip(bars: Sequence[BarHits], chance: float) -> tuple[FoundFill, ...]:
    """Return all bars that are struck as one fill: the clip is nothing else."""
    struck = [index for index, part in enumerate(bars) if part.hits]
    if not struck:
        return ()
    first, last = struck[0], struck[-1]
    if last > first and all(place == bars[last].bar.start_tick for place in bars[last].places):
        last -= 1  # only the landing
    return (_make(bars, first, last, bars[first].places[0], round(chance, 2), ("a clip on its own",)),)


def _start(part: BarHits, cells: BarCells, beats: float, backbone: Backbone) -> int:
    """Return the tick of the beat from which on the bar leaves the groove."""
    ideas = [idea for idea in backbone.ideas if idea.cells.slots == cells.slots]
    bar = part.bar
    if not ideas or beats < 2:
        return bar.start_tick
    near = max(ideas, key=lambda idea: cells.likeness(idea.cells))
    count = round(beats)
    for beat in range(count):
        if _beat_likeness(cells, near, beat, count) < STILL_GROOVE:
            return bar.start_tick + beat * bar.metre.beat_ticks
    return bar.start_tick


def _beat_likeness(cells: BarCells, idea: Idea, beat: int, count: int) -> float:
    low, high = beat * cells.slots // count, (beat + 1) * cells.slots // count
    here, usual = (
        make_cells(((slot, voice) for slot, voice in pattern.cells if low <= slot < high), high - low)
        for pattern in (cells, idea.cells)
    )
    return here.likeness(usual)


def _make(
    bars: Sequence[BarHits], first: int, last: int, start: int, chance: float, reasons: tuple[str, ...]
) -> FoundFill:
    landing = bars[last].bar.end_tick
    after = bars[last + 1] if last + 1 < len(bars) else None
    struck = zip(after.hits, after.places, strict=True) if after else ()
    lands = tuple(dict.fromkeys(hit.piece for hit, place in struck if place == landing))
    return FoundFill(
        tuple(part.bar.number for part in bars[first : last + 1]),
        start,
        landing,
        lands,
        round(chance, 2),
        reasons,
        tuple(_indices(bars[first : last + 1], start)),
    )


def _indices(bars: Sequence[BarHits], start: int) -> list[int]:
    return [
        part.first + number for part in bars for number, place in enumerate(part.places) if place >= start
    ]
