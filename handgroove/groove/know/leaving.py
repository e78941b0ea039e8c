"""Where a drummer leaves the time-keeping before a bar is over: the signs of a fill of a beat or of half a bar.

The groove goes on, then hats and ride stop and the sticks are on toms, or in a run on the snare, up to the bar line; in
the bars around it the time goes on through these beats (common practice, no source; the counts are ours).
"""

from __future__ import annotations

from collections.abc import Sequence

from handgroove.groove.hits import Stroke
from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.barlines import BarHits
from handgroove.groove.know.cells import VOICES
from handgroove.groove.know.fills import TIME_VOICES
from handgroove.groove.know.levels import Levels

AROUND = (-2, -1, 1, 2)  # bars: one that leaves the time every other bar is part of the groove
DRUMS = (Family.TOM, Family.SNARE)
MOST_AROUND = 0.75  # of them, the time goes on
PHRASES = (-8, -4, 4, 8)  # bars from one phrase end to another
FEWEST_HITS = 4  # a bar with fewer only ends the take
FEWEST_TOMS, FEWEST_SNARES = 2, 3  # strokes a beat: with toms among them, or on the snare alone


def find_leaving(bars: Sequence[BarHits], beats: Sequence[float], levels: Levels) -> tuple[int | None, ...]:
    """Return for each of *bars* the beat (from 0) at which it leaves the time for a fill; None where it does not."""
    kept = [_time_kept(part, round(count)) for part, count in zip(bars, beats, strict=True)]
    found: list[int | None] = []
    for index, part in enumerate(bars):
        beat = len(kept[index])
        while beat > 0 and not kept[index][beat - 1]:
            beat -= 1
        leaves = 0 < beat < len(kept[index]) and _is_filled(part, beat, levels)
        leaves = leaves and _goes_on(bars, kept, index, beat)
        found.append(beat if leaves else None)
    return tuple(beat if _ends_phrase(bars, found, index) else None for index, beat in enumerate(found))


def _ends_phrase(bars: Sequence[BarHits], found: Sequence[int | None], index: int) -> bool:
    """Return whether bar *index* ends a phrase: a crash follows, or the time is left again a phrase away."""
    end = bars[index].bar.end_tick
    after = bars[index + 1] if index + 1 < len(bars) else None
    struck = zip(after.hits, after.places, strict=True) if after else ()
    if any(hit.piece.family is Family.CRASH and place == end for hit, place in struck):
        return True
    away = (index + by for by in PHRASES)
    return any(0 <= other < len(bars) and found[other] == found[index] for other in away)


def _time_kept(part: BarHits, count: int) -> list[bool]:
    """Return for each of a bar's *count* beats whether time is kept in it."""
    kept = [False] * count
    for hit, place in zip(part.hits, part.places, strict=True):
        beat = (place - part.bar.start_tick) // part.bar.metre.beat_ticks
        if VOICES[hit.piece] in TIME_VOICES and beat < count:
            kept[beat] = True
    return kept


def _is_filled(part: BarHits, beat: int, levels: Levels) -> bool:
    """Return whether toms, or a run on the snare, fill the bar from *beat* on."""
    metre = part.bar.metre
    start = part.bar.start_tick + beat * metre.beat_ticks
    struck: set[tuple[int, Piece]] = {
        (place, hit.piece)
        for hit, place in zip(part.hits, part.places, strict=True)
        if place >= start and hit.piece.family in DRUMS and levels.stroke(hit) is not Stroke.GHOST
    }
    toms = any(piece.family is Family.TOM for _, piece in struck)
    places = len({place for place, _ in struck})
    return places >= (FEWEST_TOMS if toms else FEWEST_SNARES) * (
        (part.bar.end_tick - start) / metre.beat_ticks
    )


def _goes_on(bars: Sequence[BarHits], kept: Sequence[Sequence[bool]], index: int, beat: int) -> bool:
    """Return whether the bars around keep time through the beats from *beat* on."""
    around = [
        all(kept[other][beat:])
        for other in (index + by for by in AROUND)
        if 0 <= other < len(bars)
        and len(bars[other].hits) >= FEWEST_HITS
        and len(kept[other]) == len(kept[index])
    ]
    return len(around) > 1 and sum(around) >= MOST_AROUND * len(around)
