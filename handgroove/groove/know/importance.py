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

from handgroove.groove.hits import Groove, Stroke
from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.barlines import BarHits
from handgroove.groove.know.cells import Voice, voice_of
from handgroove.groove.know.levels import Levels
from handgroove.metre import BAR, BEAT, beat_offsets, level, shift_ticks
from handgroove.timeline import Metre

PILLAR = 1.5  # a pillar has at least this, everything else less
MAIN = 0.7  # a kick, snare or tom below this is a double or a ghost
OFTEN = 0.5  # of an idea's bars: what comes in so many belongs to it
SOFT_BACKBEAT = 50  # of 127: a snare so loud on its place is a backbeat, soft as it may be beside others
QUICK_SEC = 0.18  # strokes of one drum this close are a double
_PIECES: Mapping[Voice, float] = {
    Voice.KICK: 1.0,
    Voice.SNARE: 1.0,
    Voice.GHOST: 0.42,
    Voice.TIME: 0.8,
    Voice.OPEN: 1.0,
    Voice.RIDE: 0.8,
    Voice.PEDAL: 0.95,
    Voice.TOM: 1.0,
    Voice.CRASH: 1.2,
    Voice.HAND: 0.6,
}
_STROKES: Mapping[Stroke, float] = {Stroke.GHOST: 0.6, Stroke.NORMAL: 1.0, Stroke.ACCENT: 1.2}
_ANY, _STRENGTH, _RETURN, _SYNCOPATION = (
    0.7,
    0.2,
    0.2,
    0.1,
)  # what a stroke has, and what is added to it at most
_DOUBLE, _GRACE = 0.6, 0.4  # of what the lesser of two quick strokes, or a little note, would be
_METRIC = frozenset({Voice.TIME, Voice.OPEN, Voice.RIDE, Voice.HAND})  # where loudness is flat, beats lead


@dataclass(slots=True)
class _Mark:
    """One hit as it is weighed: its *index*, *voice* and *stroke*, *tick*, *offset* in its bar, *returns* (a share)."""

    index: int
    velocity: int
    voice: Voice
    stroke: Stroke
    tick: int
    offset: int
    strength: int
    returns: float = 0.0


def weigh_stroke(voice: Voice, stroke: Stroke, metre: Metre, offset: int) -> float:
    """Return the importance of a *stroke* of *voice*, *offset* ticks into a bar, when no more than that is known."""
    weight = _weigh(voice, stroke, level(metre, offset), OFTEN, is_syncopated=False)
    is_pillar = offset == 0 if voice is Voice.KICK else voice is Voice.SNARE and offset in backbeats(metre)
    return PILLAR * max(1.0, weight) if is_pillar else weight


def _weigh(voice: Voice, stroke: Stroke, strength: int, returns: float, *, is_syncopated: bool) -> float:
    """Return the importance of a stroke that is no pillar, at a place of *strength* (0 to 6).

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
    read = _read(groove, bars, levels)
    _count_returns(read, letters, graces)
    syncopated = _find_syncopated(read, bars)
    for part, marks in zip(bars, read, strict=True):
        pillars = _find_pillars(marks, part.bar.metre, graces)
        for mark in marks:
            weight = _weigh(
                mark.voice, mark.stroke, mark.strength, mark.returns, is_syncopated=mark.index in syncopated
            )
            if mark.index in pillars:
                weight = PILLAR * max(1.0, weight)
            found[mark.index] = weight * _GRACE if mark.index in graces else weight
    for index in _find_lesser(groove, read):
        if found[index] < PILLAR:
            found[index] = min(_DOUBLE * found[index], MAIN - 0.01)
    return tuple(found)


def _read(groove: Groove, bars: Sequence[BarHits], levels: Levels) -> list[list[_Mark]]:
    """Return the marks of *groove*'s hits, bar by bar."""
    kinds: dict[tuple[Piece, int], tuple[Voice, Stroke]] = {}  # a groove has few: asked once each
    read = []
    for part in bars:
        metre, start = part.bar.metre, part.bar.start_tick - shift_ticks(part.bar)
        marks = []
        for index, (hit, place) in enumerate(zip(part.hits, part.places, strict=True), part.first):
            kind = hit.piece, hit.velocity
            if kind not in kinds:
                kinds[kind] = voice_of(hit, levels), levels.stroke(hit)
            voice, stroke = kinds[kind]
            strength = level(metre, place - start)
            if voice in _METRIC and levels.is_flat(hit.piece):
                stroke = Stroke.ACCENT if strength >= BEAT else Stroke.NORMAL
            marks.append(_Mark(index, hit.velocity, voice, stroke, hit.tick, place - start, strength))
        read.append(marks)
    return read


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


@cache
def _is_syncopated(metre: Metre, offset: int, gap_ticks: int) -> bool:
    """Return whether a stronger place than that of a stroke falls in the silence of *gap_ticks* after it."""
    return any(
        level(metre, at) > level(metre, offset)
        for at in range(offset - offset % 480 + 480, offset + gap_ticks, 480)
    )


def _find_syncopated(read: Sequence[Sequence[_Mark]], bars: Sequence[BarHits]) -> set[int]:
    """Return the hits of kick and snare after which a stronger place than their own stays silent in their voice."""
    found = set()
    last: dict[Voice, tuple[_Mark, Metre, int]] = {}
    for part, marks in zip(bars, read, strict=True):
        metre, start = part.bar.metre, part.bar.start_tick - shift_ticks(part.bar)
        for mark in marks:
            if mark.voice is not Voice.KICK and mark.voice is not Voice.SNARE:
                continue
            place = start + mark.offset
            if mark.voice in last:
                before, its_metre, its_place = last[mark.voice]
                gap = min(place - its_place, its_metre.bar_ticks)
                if _is_syncopated(its_metre, before.offset, gap):
                    found.add(before.index)
            last[mark.voice] = mark, metre, place
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
    backs += [
        mark
        for mark in main
        if mark.voice is Voice.GHOST and mark.velocity >= SOFT_BACKBEAT and mark.offset in replies
    ]
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
            if before is None or mark.voice is not before.voice or mark.voice is Voice.GHOST:
                continue
            if second(mark.tick) - second(before.tick) < QUICK_SEC:
                yield (before if before.strength < mark.strength else mark).index
