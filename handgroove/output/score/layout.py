"""Systems: four-bar phrases where they fit, two bars where they don't, a new system at each section."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import pairwise

from handgroove.output.score.model import Measure, Symbol

PHRASE_BARS = 4
SYSTEM_WIDTH = 64.0  # in columns of a note without accidental


def _width(measure: Measure) -> float:
    """Return about how wide a bar is, in columns."""
    columns: dict[int, float] = {}
    for symbols in measure.voices.values():
        for symbol in symbols:
            signs = 0.45 if any(h.accidental for h in symbol.heads) else 0.0
            seconds = 0.4 if _has_second(symbol) else 0.0
            length = 0.25 * (symbol.length_ticks / 480) ** 0.6 if not symbol.whole_bar else 0.0
            own = 0.85 + signs + seconds + length + 0.5 * len(symbol.graces)
            columns[symbol.tick] = max(columns.get(symbol.tick, 0.0), own)
    chords = sum(max(0, len(mark.chord.symbol) - 3) if mark.chord else 0 for mark in measure.chords)
    return 1.6 + sum(columns.values()) + 0.1 * chords + 1.5 * len(measure.clefs)


def _has_second(symbol: Symbol) -> bool:
    pitches = [head.placed.note.pitch for head in symbol.heads]
    return any(b - a <= 2 for a, b in pairwise(pitches))


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
        while at < len(phrase):
            phrase[at].new_system = phrase[at] is not measures[0]
            at += _take(phrase[at:])


def _take(rest: Sequence[Measure]) -> int:
    """Return how many measures the next system holds."""
    pickup = 1 if rest[0].bar.number == 0 else 0
    for count in (PHRASE_BARS + pickup, 3 + pickup, 2 + pickup, 1 + pickup):
        fits = sum(_width(m) for m in rest[:count]) <= SYSTEM_WIDTH
        if fits and count - pickup == 3 and len(rest) - pickup > 3:
            continue  # three and one is worse than two and two
        if fits:
            left = len(rest) - count
            return len(rest) if left == 1 and _fits_all(rest) else count
    return 1


def _fits_all(rest: Sequence[Measure]) -> bool:
    return sum(_width(m) for m in rest) <= SYSTEM_WIDTH
