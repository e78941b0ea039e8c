"""What a reading keeps, how hard it is, and how far its accents lie from the drummer's.

The distance of accents is our own definition, no source: at every moment that the drummer strikes, how hard the drums
are struck all told, and how hard the keys; 1 minus Spearman's rank correlation of the two (C. Spearman, 1904, ties
averaged). 0 is a pianist whose loudness rises and falls with the drummer's, 1 one who does not listen.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

from handgroove.hands.difficulty import find_difficulty
from handgroove.hands.playability import Severity, check_notes
from handgroove.hands.player import Player
from handgroove.output.report import count_kept
from handgroove.part import Part
from handgroove.strike import Hand

_TOGETHER_SEC = 0.03


@dataclass(frozen=True, slots=True)
class Comparison:
    """A reading in numbers. *kept* is (sounding, of all) hits by family.

    *difficulty* is a bar's, on average, of the hand that has more to do, in strokes a second made heavier by
    awkwardness, and *hardest_bar* where it is most; *most_per_sec* are one hand's strokes in the busiest second.
    """

    kept: dict[str, tuple[int, int]]
    accent_distance: float
    difficulty: float
    hardest_bar: int
    most_per_sec: float
    strains: int
    unplayable: int
    notes: int

    @property
    def kept_share(self) -> float:
        """Return the share of all hits that sound, 0 to 1."""
        total = sum(of for _, of in self.kept.values())
        return sum(sounding for sounding, _ in self.kept.values()) / total if total else 1.0


def compare(part: Part, player: Player, span: tuple[int, int]) -> Comparison:
    """Return the numbers of *part* within *span* (first tick, end tick)."""
    first, last = span
    notes = [note for note in part.notes if first <= note.tick < last]
    troubles = [t for t in check_notes(part.notes, player, part.timeline) if first <= t.tick < last]
    difficulty, hardest_bar = _difficulty(part, player, span)
    return Comparison(
        kept=count_kept(part, span),
        difficulty=difficulty,
        hardest_bar=hardest_bar,
        accent_distance=_accent_distance(part, span),
        most_per_sec=max((_most_per_sec(part, hand, span) for hand in Hand), default=0.0),
        strains=sum(1 for trouble in troubles if trouble.severity is Severity.STRAIN),
        unplayable=sum(1 for trouble in troubles if trouble.severity is Severity.CANT),
        notes=len(notes),
    )


def _difficulty(part: Part, player: Player, span: tuple[int, int]) -> tuple[float, int]:
    """Return the mean difficulty of the harder hand's bars in *span*, and the bar that is hardest for one hand."""
    bars = [bar for bar in part.timeline.bars() if span[0] <= bar.start_tick < span[1]]
    numbers = {bar.number for bar in bars}
    found = [d for d in find_difficulty(part.notes, player, part.timeline) if d.bar in numbers]
    means = (sum(d.figure for d in found if d.hand is hand) / max(1, len(bars)) for hand in Hand)
    hardest = max(found, key=lambda d: d.figure, default=None)
    return round(max(means), 2), hardest.bar if hardest else bars[0].number


def _most_per_sec(part: Part, hand: Hand, span: tuple[int, int]) -> float:
    """Return the most strokes (chords count once) of *hand* that begin in any one second."""
    ticks = sorted({note.tick for note in part.hand(hand) if span[0] <= note.tick < span[1]})
    times = [part.timeline.tick_to_sec(tick) for tick in ticks]
    return float(max((bisect_left(times, sec + 1) - index for index, sec in enumerate(times)), default=0))


def _accent_distance(part: Part, span: tuple[int, int]) -> float:
    """Return 1 minus the rank correlation of how hard drums and keys are struck, moment by moment; 0 to 1."""
    seconds = part.timeline.tick_to_sec
    drums: list[tuple[float, float]] = []
    for hit in part.groove.hits:
        if not span[0] <= hit.tick < span[1]:
            continue
        sec, force = seconds(hit.tick), (hit.velocity / 127) ** 2
        if drums and sec - drums[-1][0] <= _TOGETHER_SEC:
            drums[-1] = (drums[-1][0], drums[-1][1] + force)
        else:
            drums.append((sec, force))
    times = [sec for sec, _ in drums]
    keys = [0.0] * len(drums)
    for note in part.notes:
        sec = seconds(note.tick)
        at = min(max(0, bisect_left(times, sec - _TOGETHER_SEC)), len(times) - 1)
        if times and abs(times[at] - sec) <= _TOGETHER_SEC:
            keys[at] += (note.velocity / 127) ** 2
    return min(1.0, max(0.0, 1 - rank_correlation([force for _, force in drums], keys)))


def rank_correlation(first: Sequence[float], second: Sequence[float]) -> float:
    """Return Spearman's rank correlation of two rows, ties averaged; 0 where one of them never changes."""
    a, b = _ranks(first), _ranks(second)
    mean = (len(a) + 1) / 2
    product = sum((x - mean) * (y - mean) for x, y in zip(a, b, strict=True))
    spread = sum((x - mean) ** 2 for x in a) * sum((y - mean) ** 2 for y in b)
    return product / spread**0.5 if spread > 0 else 0.0


def _ranks(values: Sequence[float]) -> list[float]:
    order = sorted(range(len(values)), key=values.__getitem__)
    ranks = [0.0] * len(values)
    start = 0
    while start < len(order):
        end = start
        while end < len(order) and values[order[end]] == values[order[start]]:
            end += 1
        for index in order[start:end]:
            ranks[index] = (start + end + 1) / 2
        start = end
    return ranks
