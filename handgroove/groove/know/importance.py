"""How much each stroke matters: one number for each hit, by which it is kept, thinned or let go.

A main stroke of kick or snare is about 1. What counts: the piece, and how hard it is struck beside the piece's other
strokes; how strong its place in the bar is; in how many bars of its idea it comes back; whether a silence that weighs
more follows (syncopation after C. Longuet-Higgins and C. Lee 1984, see `rhythm_measures.py`); and whether it is the
lesser of two quick ones. Pillars stand above all: the kick on 1 and the backbeats, or what a style has in their place
(the drop of reggae, samba's heavy 2, the foot's hat in swing). A teacher drops doubles first, then ghosts, light hats,
other kicks, and pillars never (common practice, no source). The numbers are design choices.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from handgroove.groove.hits import Groove, Stroke
from handgroove.groove.kit import Family
from handgroove.groove.know.barlines import BarHits
from handgroove.groove.know.cells import Voice, voice_of
from handgroove.groove.know.levels import Levels
from handgroove.metre import BAR, BEAT, beat_offsets, level
from handgroove.timeline import Metre

PILLAR = 1.5  # a pillar has at least this, everything else less
OFTEN = 0.5  # of an idea's bars: what comes in so many belongs to it
QUICK_SEC = 0.18  # strokes of one drum this close are a double
_PIECES: Mapping[Voice, float] = {
    Voice.KICK: 1.0,
    Voice.SNARE: 1.0,
    Voice.GHOST: 0.33,
    Voice.TIME: 0.8,
    Voice.OPEN: 1.0,
    Voice.RIDE: 0.8,
    Voice.PEDAL: 0.8,
    Voice.TOM: 1.0,
    Voice.CRASH: 1.2,
    Voice.HAND: 0.6,
}
_STROKES: Mapping[Stroke, float] = {Stroke.GHOST: 0.6, Stroke.NORMAL: 1.0, Stroke.ACCENT: 1.2}
_ANY, _STRENGTH, _RETURN, _SYNCOPATION = 0.7, 0.2, 0.2, 0.1  # what a stroke has, and what is added to it at most
_DOUBLE, _GRACE = 0.6, 0.4  # of what the lesser of two quick strokes, or a little note, would be
_METRIC = frozenset({Voice.TIME, Voice.OPEN, Voice.RIDE, Voice.HAND})  # where loudness is flat, beats lead


@dataclass(slots=True)
class _Mark:
    """One hit as it is weighed: its *index*, *voice* and *stroke*, *tick*, *offset* in its bar, *returns* (a share)."""

    index: int
    voice: Voice
    stroke: Stroke
    tick: int
    offset: int
    strength: int
    returns: float = 0.0


def weigh_stroke(
    voice: Voice, stroke: Stroke, strength: int, returns: float = OFTEN, *, is_syncopated: bool = False
) -> float:
    """Return the importance of a *stroke* of *voice* at a place of *strength* (0 to 6) that is no pillar.

    *returns* is the share (0 to 1) of its idea's bars that have it.
    """
    loudness = 1.0 if voice is Voice.GHOST else _STROKES[stroke]
    prominence = _ANY + _STRENGTH * strength / BAR + _RETURN * returns + _SYNCOPATION * is_syncopated
    return min(_PIECES[voice] * loudness * prominence, PILLAR - 0.01)


@cache
def backbeats(metre: Metre) -> frozenset[int]:
    """Return where a bar's backbeats are, in ticks from its start: on every second beat."""
    return frozenset(beat_offsets(metre)[1::2])


def find_importance(
    groove: Groove,
    bars: Sequence[BarHits],
    letters: Sequence[str],
    levels: Levels,
    graces: Collection[int] = (),
) -> tuple[float, ...]:
    """Return the importance of each hit of *groove*.

    *bars* hold the hits, *letters* name the bars' ideas ("" = odd); *graces* are hits that lead to others (indices).
    """
    found = [0.0] * len(groove.hits)
    read = [_read(groove, part, levels) for part in bars]
    _count_returns(read, letters, graces)
    heavier = _find_silences(read, bars)
    for part, marks in zip(bars, read, strict=True):
        pillars = _find_pillars(marks, part.bar.metre, graces)
        for mark in marks:
            weight = weigh_stroke(
                mark.voice, mark.stroke, mark.strength, mark.returns, is_syncopated=mark.index in heavier
            )
            if mark.index in pillars:
                weight = PILLAR * max(1.0, weight)
            found[mark.index] = weight * _GRACE if mark.index in graces else weight
    for index in _find_lesser(groove, read):
        found[index] *= 1.0 if found[index] >= PILLAR else _DOUBLE
    return tuple(found)


def _read(groove: Groove, part: BarHits, levels: Levels) -> list[_Mark]:
    """Return the marks of one bar's hits."""
    metre, start = part.bar.metre, part.bar.start_tick
    shift = metre.bar_ticks - part.bar.length_ticks if part.bar.number == 0 else 0
    marks = []
    for number, (hit, place) in enumerate(zip(part.hits, part.places, strict=True)):
        offset, voice = place - start + shift, voice_of(hit, levels)
        strength = level(metre, offset)
        stroke = levels.stroke(hit)
        if voice in _METRIC and levels.is_flat(hit.piece):
            stroke = Stroke.ACCENT if strength >= BEAT else Stroke.NORMAL
        marks.append(_Mark(part.first + number, voice, stroke, hit.tick, offset, strength))
    return marks


def _count_returns(read: Sequence[Sequence[_Mark]], letters: Sequence[str], graces: Collection[int]) -> None:
    """Note at each mark in which share of the bars of its idea (an odd bar: of all bars) it comes."""
    counts: Counter[tuple[str, int, Voice]] = Counter()
    bars: Counter[str] = Counter()
    for marks, letter in zip(read, letters, strict=True):
        cells = {(mark.offset, mark.voice) for mark in marks if mark.index not in graces}
        for name in {letter, ""}:
            bars[name] += bool(marks)
            counts.update((name, *cell) for cell in cells)
    for marks, letter in zip(read, letters, strict=True):
        for mark in marks:
            mark.returns = counts[letter, mark.offset, mark.voice] / max(1, bars[letter])


def _find_silences(read: Sequence[Sequence[_Mark]], bars: Sequence[BarHits]) -> set[int]:
    """Return the hits of kick and snare after which a stronger place than their own stays silent in their voice."""
    found = set()
    for voice in (Voice.KICK, Voice.SNARE):
        line = [
            (part.bar.start_tick + mark.offset, mark, part.bar.metre)
            for part, marks in zip(bars, read, strict=True)
            for mark in marks
            if mark.voice is voice
        ]
        for (place, mark, metre), (after, _, _) in pairwise(line):
            between = range(place - mark.offset, after, 480)
            if any(tick > place and level(metre, tick - place + mark.offset) > mark.strength for tick in between):
                found.add(mark.index)
    return found


def _find_pillars(marks: Sequence[_Mark], metre: Metre, graces: Collection[int]) -> set[int]:
    """Return the hits of one bar that carry it: kick on 1 and backbeats, or what the style has in their place."""
    main = [mark for mark in marks if mark.index not in graces]
    replies = backbeats(metre)
    kicks = [mark for mark in main if mark.voice is Voice.KICK]
    on_one = [mark for mark in kicks if mark.strength == BAR]
    found = [*on_one, *_heavier(kicks, on_one)]
    snares = [mark for mark in main if mark.voice is Voice.SNARE]
    backs = [mark for mark in snares if mark.offset in replies]
    backs = backs or [mark for mark in snares if BEAT <= mark.strength < BAR and mark.returns >= OFTEN]
    backs = backs or [mark for mark in main if mark.voice is Voice.PEDAL and mark.offset in replies]
    return {mark.index for mark in (*found, *backs)}


def _heavier(kicks: Sequence[_Mark], on_one: Sequence[_Mark]) -> list[_Mark]:
    """Return the kicks on which a bar leans more than on its 1: returning, louder, on a beat."""
    if any(mark.stroke is Stroke.ACCENT for mark in on_one):
        return []
    least = Stroke.ACCENT if on_one else Stroke.NORMAL
    beats = [mark for mark in kicks if BEAT <= mark.strength < BAR and mark.returns >= OFTEN]
    return [mark for mark in beats if mark.stroke in {least, Stroke.ACCENT}]


def _find_lesser(groove: Groove, read: Sequence[Sequence[_Mark]]) -> Iterator[int]:
    """Yield the lesser of each two quick strokes of one drum: on the weaker place, else the later one."""
    last: dict[Family, _Mark] = {}
    second = groove.timeline.tick_to_sec
    for marks in read:
        for mark in marks:
            family = groove.hits[mark.index].piece.family
            if family not in {Family.KICK, Family.SNARE, Family.TOM}:
                continue
            before = last.get(family)
            last[family] = mark
            if before is None or mark.voice is not before.voice:
                continue
            if second(mark.tick) - second(before.tick) < QUICK_SEC:
                yield (before if before.strength < mark.strength else mark).index
