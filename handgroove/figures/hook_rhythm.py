"""A hook's rhythm: what one would clap of a groove with three to five claps.

Every place of the bar is weighed over a stretch of bars: by the drums that strike it, how hard, and how often. The
weights, and what claps cost that crowd each other, are ours.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations, pairwise
from statistics import fmean

from handgroove.groove.hits import Hit, Stroke
from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.barlines import BarHits
from handgroove.groove.know.cells import VOICES, Voice, voice_of
from handgroove.groove.know.levels import Levels
from handgroove.metre import BEAT, beat_offsets, level
from handgroove.timeline import Bar, Metre, Timeline

# How much a stroke makes a groove what it is; what keeps time does so by its accents alone.
CARRIES: Mapping[Voice, float] = {
    Voice.KICK: 1.0,
    Voice.SNARE: 1.0,
    Voice.TOM: 0.9,
    Voice.HAND: 0.7,
    Voice.CRASH: 0.5,
    Voice.OPEN: 0.5,
    Voice.GHOST: 0.3,
}
PITCHED = frozenset(
    {Family.KICK, Family.SNARE, Family.TOM, Family.HAND}
)  # drums, which sound high or low to the ear
ACCENTED_TIME, PLAIN_TIME = 0.6, 0.15
SOFT_DRUM = 0.7  # of the loudest stroke: a drum whose own loudest is less counts as soft beside the others
BESIDE = 0.15  # of what else is struck at the same place
MOST_PLACES = 9
FEWEST, MOST = 3, 5
EACH = 0.1  # what a clap costs: weaker strokes are not worth one
OFF_BEAT = 0.4  # of its weight: a stroke off the beat tells one groove from another
ON_ONE = 0.2
ALL_ON_BEATS = 0.6
NEAR_BEATS = 0.51  # claps so near crowd each other ...
AFTER_BEAT, AFTER_OFF_BEAT = 0.95, 0.75  # ... most where the first has just been on a beat
ONE_GESTURE_BEATS, ONE_GESTURE = 0.26, 0.3  # so quick a pair is heard as one, and costs less
RUN_OF_THREE = 0.5
QUICKEST_SEC, TOO_QUICK = 0.12, 9.0
UNSTRUCK = 0.3  # what a clap of the idea is worth less than nothing where a bar does not strike it
NEWS = 0.2  # of the heaviest: so much more, or less, than usual is a bar's own doing
SAME_HEIGHT = 3  # drums nearer than this are one height to the ear
BOTH_HEARD = 0.5  # of the heaviest: a drum that is this heavy beside another at its place is heard


@dataclass(frozen=True, slots=True)
class Clap:
    """A place in the bar, *offset_ticks* from its start, that a groove is known by.

    *weight* is 1 for the bar's heaviest; *drum* is what is heard there, *velocity* how loud the place is on average.
    *on_beat* says whether it is a beat of the metre.
    """

    offset_ticks: int
    weight: float
    drum: Piece
    velocity: float
    on_beat: bool


@dataclass(frozen=True)
class Rhythm:
    """The *claps* that a hook's idea is made of, and what they *cost* beside the best choice of them."""

    claps: tuple[Clap, ...]
    cost: float

    @property
    def offsets(self) -> tuple[int, ...]:
        """Return where in the bar the claps are (ticks)."""
        return tuple(clap.offset_ticks for clap in self.claps)

    @cached_property
    def levels(self) -> tuple[int, ...]:
        """Return the claps' ranks by the height of their drums, from 0."""
        rank, ranks = 0, {}
        heights = sorted({clap.drum.height for clap in self.claps})
        for before, height in pairwise((heights[0], *heights)):
            rank += height - before >= SAME_HEIGHT
            ranks[height] = rank
        return tuple(ranks[clap.drum.height] for clap in self.claps)

    @cached_property
    def strong(self) -> tuple[bool, ...]:
        """Return which claps are the louder ones; where all are alike, those on beats."""
        loud = [clap.velocity for clap in self.claps]
        mean = sum(loud) / len(loud)
        if max(loud) - min(loud) < 8:  # velocity: no difference to hear
            return tuple(clap.on_beat for clap in self.claps)
        return tuple(velocity > mean for velocity in loud)


def find_claps(parts: Sequence[BarHits], levels: Levels, graces: frozenset[int]) -> tuple[Clap, ...]:
    """Find the places that *parts*, bars of one length, are known by, in order; *graces* are not strokes."""
    most = max((hit.velocity for part in parts for hit in part.hits), default=0)
    loudest: dict[Family, float] = {}
    for part in parts:
        for hit in part.hits:
            loudest[hit.piece.family] = max(hit.velocity, loudest.get(hit.piece.family, SOFT_DRUM * most))
    struck: dict[int, list[tuple[float, Hit]]] = {}
    weights: dict[int, float] = {}
    loud: dict[int, list[int]] = {}
    for part in parts:
        here: dict[int, list[tuple[float, Hit]]] = {}
        for number, (hit, place) in enumerate(zip(part.hits, part.places, strict=True)):
            if part.first + number not in graces:
                share = _carries(hit, levels) * hit.velocity / loudest[hit.piece.family]
                here.setdefault(place - part.bar.start_tick, []).append((share, hit))
        for offset, found in here.items():
            shares = [share for share, _ in found]
            main = max(shares)
            weights[offset] = weights.get(offset, 0.0) + main + BESIDE * (sum(shares) - main)
            struck.setdefault(offset, []).extend(found)
            loud.setdefault(offset, []).append(max(hit.velocity for _, hit in found))
    heaviest = max(weights.values(), default=1.0)
    return tuple(
        Clap(
            offset,
            weights[offset] / heaviest,
            _heard(struck[offset], len(loud[offset])),
            fmean(loud[offset]),
            level(parts[0].bar.metre, offset) >= BEAT,
        )
        for offset in sorted(weights)
    )


def _carries(hit: Hit, levels: Levels) -> float:
    """Return how much *hit* makes its groove what it is."""
    carries = CARRIES.get(voice_of(hit, levels))
    if carries is not None:
        return carries
    is_accent = levels.stroke(hit) is Stroke.ACCENT and not levels.is_flat(hit.piece)
    return ACCENTED_TIME if is_accent else PLAIN_TIME


def _heard(struck: Sequence[tuple[float, Hit]], bars: int) -> Piece:
    """Return which of all that is *struck* at one place in so many *bars* gives it its height.

    It is the highest drum that is heard there in half of them.
    """
    by_piece: dict[Piece, list[float]] = {}
    for share, hit in struck:
        by_piece.setdefault(hit.piece, []).append(share)
    usual = {piece: sum(shares) for piece, shares in by_piece.items() if 2 * len(shares) >= bars}
    usual = usual or {piece: sum(shares) for piece, shares in by_piece.items()}
    most = max(usual.values())
    heard = [piece for piece, share in usual.items() if share >= BOTH_HEARD * most]
    drums = [piece for piece in heard if piece.family in PITCHED] or heard
    return max(drums, key=lambda piece: (piece.height, piece))


def felt_beat_ticks(metre: Metre) -> int:
    """Return how long the beats of *metre* are on the whole: in 7/8 there are three of them, not seven."""
    return metre.bar_ticks // len(beat_offsets(metre))


def find_rhythms(claps: Sequence[Clap], bar: Bar, beat_sec: float) -> list[Rhythm]:
    """Return the choices among the heaviest of *claps* of *bar*, whose beat lasts *beat_sec*, best first."""
    heaviest = sorted(claps, key=lambda clap: (-clap.weight, clap.offset_ticks))[:MOST_PLACES]
    return Choices(sorted(heaviest, key=lambda clap: clap.offset_ticks), bar, beat_sec).rank()


class Choices:
    """The choices of three to five among *claps* (in order) of *bar*, whose beat lasts *beat_sec*.

    A good one is strong, tells this groove from others, and leaves room, over the bar line too.
    """

    def __init__(self, claps: Sequence[Clap], bar: Bar, beat_sec: float) -> None:
        self.claps = claps
        beat = felt_beat_ticks(bar.metre)
        self.most = max(FEWEST, min(MOST, bar.length_ticks // beat + 1))
        self._worth = [clap.weight * (1 if clap.on_beat else 1 + OFF_BEAT) - EACH for clap in claps]
        self._crowd = [
            [
                _crowd(a, ((b.offset_ticks - a.offset_ticks - 1) % bar.length_ticks + 1) / beat, beat_sec)
                for b in claps
            ]
            for a in claps
        ]

    def score(self, chosen: Sequence[int]) -> float:
        """Return how good the claps with the indices *chosen* are together."""
        score = ON_ONE * (self.claps[chosen[0]].offset_ticks == 0)
        before = 0.0
        for a, b in pairwise((*chosen, chosen[0])):
            crowd = self._crowd[a][b]
            score += self._worth[a] - crowd - RUN_OF_THREE * (before > 0 < crowd)
            before = crowd
        return score - ALL_ON_BEATS * all(self.claps[index].on_beat for index in chosen)

    def rank(self) -> list[Rhythm]:
        """Return all of them, best first."""
        count = len(self.claps)
        found = [
            (self.score(chosen), chosen)
            for size in range(min(FEWEST, count), self.most + 1)
            for chosen in combinations(range(count), size)
        ]
        found.sort(key=lambda item: (-item[0], item[1]))
        best = found[0][0]
        return [
            Rhythm(tuple(self.claps[i] for i in chosen), round(best - score, 3)) for score, chosen in found
        ]

    def near(self, fixed: frozenset[int], start: Sequence[int]) -> Rhythm:
        """Return the best that comes of *start* (indices) by adding and moving single claps, but for *fixed*."""
        best, score = tuple(start), self.score(start)
        while True:
            others = [index for index in range(len(self.claps)) if index not in best]
            fewer = [tuple(index for index in best if index != gone) for gone in best if gone not in fixed]
            tried = [*fewer, *(tuple(sorted((*own, new))) for own in (best, *fewer) for new in others)]
            found = [(self.score(chosen), chosen) for chosen in tried if 1 < len(chosen) <= self.most]
            most, chosen = max(found, default=(score, best))
            if most <= score + 1e-9:
                return Rhythm(tuple(self.claps[index] for index in best), 0.0)
            best, score = chosen, most


def _crowd(clap: Clap, gap_beats: float, beat_sec: float) -> float:
    """Return what it costs that the next one comes *gap_beats* after *clap*."""
    if gap_beats * beat_sec < QUICKEST_SEC:
        return TOO_QUICK
    if gap_beats > NEAR_BEATS:
        return 0.0
    return (AFTER_BEAT if clap.on_beat else AFTER_OFF_BEAT) - ONE_GESTURE * (gap_beats <= ONE_GESTURE_BEATS)


def bend(rhythm: Rhythm, usual: Sequence[Clap], own: Sequence[Clap], bar: Bar, beat_sec: float) -> Rhythm:
    """Return *rhythm*, chosen among a groove's *usual* claps, as *bar* has it, whose *own* claps may be others.

    What the drummer leaves out there goes and what is new may come, but half of the rhythm at least stays.
    """
    here = {clap.offset_ticks: clap for clap in own}
    everywhere = {clap.offset_ticks: clap.weight for clap in usual}
    kept = set(rhythm.offsets)
    new = [clap for clap in own if clap.weight - everywhere.get(clap.offset_ticks, 0.0) > NEWS]
    said = [here.get(clap.offset_ticks, replace(clap, weight=-UNSTRUCK)) for clap in rhythm.claps]
    claps = sorted(
        {clap.offset_ticks: clap for clap in (*new, *said)}.values(), key=lambda clap: clap.offset_ticks
    )
    start = [index for index, clap in enumerate(claps) if clap.offset_ticks in kept]
    fixed = frozenset(
        index
        for index in start
        if claps[index].weight > everywhere.get(claps[index].offset_ticks, 0.0) - NEWS
    )
    found = Choices(claps, bar, beat_sec).near(fixed, start)
    if 2 * len(kept & set(found.offsets)) < len(kept):
        return Rhythm(tuple(claps[index] for index in start), 0.0)
    return found


def tell_rhythm(rhythm: Rhythm, bar: Bar, timeline: Timeline) -> str:
    """Return which strokes of the groove *rhythm* is made of, as players count *bar*."""
    told = [
        f"{timeline.format_position(bar.start_tick + clap.offset_ticks).rpartition(' ')[2]} ({VOICES[clap.drum].value})"
        for clap in rhythm.claps
    ]
    return f"made of the groove's own {', '.join(told)}"
