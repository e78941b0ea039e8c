"""Who keeps time in a stretch of bars, and in which beats a bar leaves it.

Hats and ride keep time where they are played; else all that the hands strike does: a bell, a shaker, brushes, the
snare of a samba, a floor tom, and with them the foot on the hat (common practice, no source; the counts are ours). A
hat stops by not being struck; a drum also by being struck otherwise than in the bars around.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handgroove.groove.hits import GHOST
from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.barlines import BarHits
from handgroove.groove.know.cells import VOICES, Voice
from handgroove.groove.know.fills import TIME_VOICES
from handgroove.groove.know.levels import Levels

KEEPS = 0.5  # of a bar's beats: what is struck in fewer keeps no time
MOST_AROUND = 0.75  # of the bars around: what they do is usual
MOST_UNLIKE = 0.8  # of them, where drums keep time: one may hold a fill of the same kind
SAME = 0.6  # a beat of a drum at least this like the usual one goes on

Struck = tuple[int, Piece, bool]  # where in its bar (written ticks), on what, and whether as a ghost


@dataclass(frozen=True, slots=True)
class BeatBar:
    """A bar by its beats: in which hats or ride *keep* time, and the *foot* the hat, and what else is *struck* in each.

    *last_tick* is where hat or ride is struck last (-1 = nowhere), after the bar's start; *hits* counts all.
    """

    keep: tuple[bool, ...]
    foot: tuple[bool, ...]
    struck: tuple[frozenset[Struck], ...]
    last_tick: int
    beat_ticks: int
    hits: int


def cut_beats(part: BarHits, levels: Levels) -> BeatBar:
    """Cut a bar into its beats; kicks and crashes keep no time."""
    beat_ticks = part.bar.metre.beat_ticks
    count = max(1, round(part.bar.length_ticks / beat_ticks))
    last_tick = -1
    keep, foot = [False] * count, [False] * count
    struck: list[set[Struck]] = [set() for _ in range(count)]
    for hit, place in zip(part.hits, part.places, strict=True):
        offset = place - part.bar.start_tick
        beat = min(count - 1, offset // beat_ticks)
        voice = VOICES[hit.piece]
        if voice in TIME_VOICES:
            keep[beat] = True
            last_tick = offset
        elif voice is Voice.PEDAL:
            foot[beat] = True
        elif hit.piece.family not in (Family.KICK, Family.CRASH):
            struck[beat].add((offset, hit.piece, levels.stroke(hit) is GHOST))
    return BeatBar(
        tuple(keep), tuple(foot), tuple(map(frozenset, struck)), last_tick, beat_ticks, len(part.hits)
    )


def find_left(bar: BeatBar, around: Sequence[BeatBar]) -> int:
    """Return the beat from which on *bar* leaves the time that the bars *around* keep (its count: it does not)."""
    count = len(bar.keep)
    needed = MOST_AROUND * len(around)
    usual = [sum(other.keep[beat] for other in around) >= needed for beat in range(count)]
    beat = count
    if sum(usual) >= KEEPS * count:
        while beat > 0 and usual[beat - 1] and not bar.keep[beat - 1]:
            beat -= 1
        return beat
    if any(any(other.keep) for other in around):
        return count
    foot = [sum(other.foot[beat] for other in around) >= needed for beat in range(count)]
    has_foot = sum(foot) >= KEEPS * count
    while beat > 0:
        stops = has_foot and not any(bar.foot[beat - 1 :])
        if not (stops or _changes(bar, around, beat - 1)):
            break
        beat -= 1
    return beat


def _changes(bar: BeatBar, around: Sequence[BeatBar], beat: int) -> bool:
    """Return whether drums are struck otherwise in this *beat* than in most bars around."""
    here = bar.struck[beat]
    unlike = sum(
        2 * len(here & other.struck[beat]) < SAME * (len(here) + len(other.struck[beat])) for other in around
    )
    return unlike >= MOST_UNLIKE * len(around)
