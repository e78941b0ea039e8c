"""Systems: four-bar phrases where they fit, two bars where they don't, a new system at each section."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from handgroove.output.score.sheet_model import Measure
from handgroove.output.score.staves import has_second

PHRASE_BARS = 4
SYSTEM_WIDTH = 66.0  # in columns of a note without accidental


def _width(measure: Measure) -> float:
    """Return about how wide a bar is, in columns."""
    if measure.repeats_last:
        return 9.0
    columns: dict[int, float] = {}
    for symbols in measure.voices.values():
        for symbol in symbols:
            signs = 0.45 if any(h.accidental for h in symbol.heads) else 0.0
            seconds = 0.4 if has_second(symbol) else 0.0
            length = 0.25 * (symbol.length_ticks / 480) ** 0.6 if not symbol.whole_bar else 0.0
            own = 0.85 + signs + seconds + length + 0.5 * len(symbol.graces)
            columns[symbol.tick] = max(columns.get(symbol.tick, 0.0), own)
    chords = sum(max(0, len(mark.chord.symbol) - 3) if mark.chord else 0 for mark in measure.chords)
    return 1.6 + sum(columns.values()) + 0.1 * chords + 1.5 * len(measure.clefs)


def break_systems(measures: Sequence[Measure], starts: Collection[int]) -> None:
    """Mark the measures that begin a system, given the ticks at which sections start."""
    phrases: list[list[Measure]] = []
    for measure in measures:
        if not phrases or measure.bar.start_tick in starts:
            phrases.append([])
        phrases[-1].append(measure)
    if len(phrases) > 1 and phrases[0][0].bar.number == 0 and len(phrases[0]) == 1:
        phrases[:2] = [phrases[0] + phrases[1]]  # a pickup goes with the section that it leads to
    for phrase in phrases:
        at = 0
        for count in _share(phrase):
            phrase[at].new_system = phrase[at] is not measures[0]
            at += count


def _share(phrase: Sequence[Measure]) -> list[int]:
    """Return how many measures each system of a phrase holds, at the least cost to the look of the page."""
    pickup = 1 if phrase[0].bar.number == 0 else 0
    widths = [_width(measure) for measure in phrase]
    best: list[tuple[float, list[int]]] = [(0.0, [])]
    for end in range(1, len(phrase) + 1):
        options = []
        for count in range(1, min(end, PHRASE_BARS + 1 + pickup) + 1):
            start = end - count
            bars = count - (pickup if start == 0 else 0)
            cost, shares = best[start]
            uneven = 1.2 if shares and shares[-1] != count else 0.0
            options.append((cost + _look(bars, sum(widths[start:end])) + uneven, [*shares, count]))
        best.append(min(options))
    return best[-1][1]


# What a number of bars in a system costs: four is a phrase, two is half of one.
_COUNTS = {0: 9.0, 1: 4.0, 2: 1.2, 3: 2.2, 4: 0.0, 5: 2.0}


def _look(bars: int, width: float) -> float:
    """Return the cost of a system: of its number of bars, and of being cramped or stretched."""
    fill = width / SYSTEM_WIDTH
    cramped = 40 * (fill - 1) if fill > 1 else 0.0
    stretched = 2 * (0.5 - fill) if fill < 0.5 else 0.0
    return 1.0 + _COUNTS.get(bars, 5.0) + cramped + stretched
