"""Where a drummer leaves the time-keeping before a bar is over: the signs of a fill that ends a phrase.

The groove goes on, then what keeps time (`keeping.py`) stops or changes and the sticks are on drums as they are not in
the bars around, up to the bar line. At a fourth bar a crash follows, the same comes a phrase away, or the song ends;
elsewhere it takes a crash, and a bar that is filled for long or returns (common practice, no source; the counts are
ours).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.barlines import BarHits
from handgroove.groove.know.keeping import SAME, BeatBar, Struck, cut_beats, find_left
from handgroove.groove.know.levels import Levels

AROUND = (-3, -2, -1, 1, 2, 3)  # bars: one that leaves the time every other bar is part of the groove
DRUMS = (Family.TOM, Family.SNARE, Family.HAND)
PHRASE = 4  # bars: what comes back after whole phrases ends them
PHRASES = (-8, -4, 4, 8)  # bars from one phrase end to another
FEWEST_HITS = 3  # a bar with fewer only ends the take
FULL_TOMS, FULL_SNARES = 2, 3  # strokes a beat: with toms among them, or on the snare alone
LONG = 6  # strokes: a fill anywhere, if a crash follows
# Places that are struck, one of them not usual; one more where only its return tells a fill.
FEWEST_STROKES = 2


@dataclass(frozen=True, slots=True)
class Tail:
    """The end of a bar that leaves the time: from which *beat* on, and the drums *struck* there.

    *is_full* says that the whole of it is, where hats or ride are left for drums.
    """

    beat: int
    struck: frozenset[Struck]
    is_full: bool

    def is_like(self, other: Tail) -> bool:
        """Return whether it leaves the time where *other* does and, where it is not full, with the same strokes."""
        both = len(self.struck) + len(other.struck)
        same = self.is_full or 2 * len(self.struck & other.struck) >= SAME * both
        return self.beat == other.beat and same


def find_leaving(bars: Sequence[BarHits], levels: Levels) -> tuple[int | None, ...]:
    """Return for each of *bars* the beat (from 0) at which it leaves the time for a fill; None where it does not."""
    cut = [cut_beats(part, levels) for part in bars]
    begun = next((index for index, bar in enumerate(cut) if bar.hits >= FEWEST_HITS), 0)
    tails = [_find_tail(bar, _around(cut, index)) for index, bar in enumerate(cut)]
    found = [_ends_phrase(bars, tails, index, begun) for index in range(len(bars))]
    for index in range(len(bars) - 2, -1, -1):  # a fill of two bars
        after = tails[index + 1]
        if found[index + 1] and after and after.beat == 0 and tails[index] is not None:
            found[index] = not (index + 2 < len(bars) and found[index + 2])
    return tuple(tail.beat if tail and ends else None for tail, ends in zip(tails, found, strict=True))


def _find_tail(bar: BeatBar, around: Sequence[BeatBar]) -> Tail | None:
    """Return how *bar* leaves the time, if it does and there are strokes on drums that are not usual."""
    if len(around) < 2 or bar.hits < FEWEST_HITS:
        return None
    beat = find_left(bar, around)
    if beat == len(bar.keep):
        return None
    by_hats = any(any(other.keep) for other in around)
    after_tick = bar.last_tick if by_hats else bar.beat_ticks * beat - 1
    here = _struck_after(bar, after_tick)
    others = [_struck_after(other, after_tick) for other in around]
    new = sum(2 * sum(struck in other for other in others) < len(others) for struck in here)
    if not new or (not by_hats and 2 * new < len(here)) or _count_places(here) < FEWEST_STROKES:
        return None
    filled = {struck for struck in here if struck[0] >= bar.beat_ticks * beat}
    toms = any(piece.family is Family.TOM for _, piece, _ in filled)
    needed = (FULL_TOMS if toms else FULL_SNARES) * (len(bar.keep) - beat)
    return Tail(beat, frozenset(here), by_hats and beat > 0 and _count_places(filled) >= needed)


def _around(cut: Sequence[BeatBar], index: int) -> list[BeatBar]:
    return [
        cut[other]
        for other in (index + by for by in AROUND)
        if 0 <= other < len(cut)
        and cut[other].hits >= FEWEST_HITS
        and len(cut[other].keep) == len(cut[index].keep)
    ]


def _struck_after(bar: BeatBar, after_tick: int) -> set[Struck]:
    """Return the strokes on drums, but for ghosts, later than *after_tick*."""
    return {
        struck
        for cells in bar.struck
        for struck in cells
        if struck[0] > after_tick and struck[1].family in DRUMS and not struck[2]
    }


def _count_places(struck: Iterable[Struck]) -> int:
    return len({offset for offset, _, _ in struck})


def _ends_phrase(bars: Sequence[BarHits], tails: Sequence[Tail | None], index: int, begun: int) -> bool:
    """Return whether bar *index* ends a phrase: a fourth bar sooner than another."""
    tail = tails[index]
    if tail is None:
        return False
    is_second = tail.beat == 0 and index > 0 and tails[index - 1] is not None
    fourth = (index - begun) % PHRASE == PHRASE - 1 or (is_second and (index - begun) % PHRASE == 0)
    crash = any(piece.family is Family.CRASH for piece in _on_one(bars, index + 1))
    away = (tails[index + by] for by in PHRASES if 0 <= index + by < len(tails))
    returns = any(other is not None and tail.is_like(other) for other in away)
    if not fourth:
        return tail.is_full and crash and (returns or _count_places(tail.struck) >= LONG)
    last = index + 1 == len(bars)
    return crash or last or (returns and _count_places(tail.struck) >= FEWEST_STROKES + 1)


def _on_one(bars: Sequence[BarHits], index: int) -> frozenset[Piece]:
    """Return what is struck on the one of bar *index*, if there is one."""
    if index >= len(bars):
        return frozenset()
    part = bars[index]
    struck = zip(part.hits, part.places, strict=True)
    return frozenset(hit.piece for hit, place in struck if place == part.bar.start_tick)
