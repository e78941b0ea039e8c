"""Gestures: what one movement of a drummer makes. Grace strokes belong to their main stroke.

A flam has one grace, a drag two, a ruff three; a buzz or roll is many strokes of one drum that are meant as one long
sound; a rebound is a stick or beater that falls once more by itself, softer (common practice, no source).

Gaps alone tell nothing: between 45 and 75 ms lie wide flams, doubles and thirty-seconds. So three things are asked
together. Gap: how close. Loudness: graces are softer than what they lead to, rebounds softer than what they come from.
Place: strokes that go on an even row are counted, not ornaments, and a wide flam's main stroke is the one on the grid,
the drummer's own lean taken out. All limits below without a source are design choices, checked on made flams and
on made fast singles.
"""

from __future__ import annotations

import cmath
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from itertools import pairwise
from math import pi

from handgroove.groove.hits import Groove
from handgroove.groove.kit import Family, Piece

LINK_SEC = 0.075  # strokes farther apart are movements of their own
KICK_LINK_SEC = 0.09  # a beater falls back more slowly than a stick
FLAM_SEC = 0.045  # so close no two strokes are counted, however loud
# 18 a second: even strokes slower than that are counted (thirty-seconds at 120 come every 62 ms)
COUNTED_SEC = 0.056
RUFF_SEC = 0.14  # from a ruff's first grace to its main stroke
MOST_GRACES = 3
EVEN = 1.5  # gaps within this ratio are even: each onset may be 5 ms off
LOUDER = 1.18  # a main stroke is so much louder than its graces (they are at most 0.85 of it) ...
FAR_LOUDER = 1.67  # ... and so much where it comes later than a flam's
IN_ROLL_LOUDER = 1.4  # ... and so much among the uneven strokes of a roll
SIXTEENTH = 0.75  # of a sixteenth: a wider gap is counted in the tempo of the music
FEWEST_IN_ROLL = 4


class GestureKind(StrEnum):
    """What kind of movement a stroke is part of."""

    SINGLE = "single stroke"
    FLAM = "flam"
    DRAG = "drag"
    RUFF = "ruff"
    ROLL = "roll"
    REBOUND = "rebound"


@dataclass(frozen=True, slots=True)
class Gesture:
    """One movement on one drum: its *main* stroke and the *graces* that belong to it (indices of the groove's hits).

    A flam's, drag's and ruff's graces come before the main stroke (softer ones after it are its rebound); a rebound's
    come after it. A roll's main stroke is its first, but for graces that lead to it, and the others follow.
    """

    kind: GestureKind
    main: int
    graces: tuple[int, ...] = ()


def find_gestures(groove: Groove) -> tuple[Gesture, ...]:
    """Return the gestures of *groove* that are more than a single stroke, in order of their main strokes."""
    indices: dict[Piece, list[int]] = {}
    one_drum = {Piece.SIDE_STICK: Piece.SNARE}  # struck otherwise
    for index, hit in enumerate(groove.hits):
        indices.setdefault(one_drum.get(hit.piece, hit.piece), []).append(index)
    grid = _Grid(groove)
    found: list[Gesture] = []
    for piece, mine in indices.items():
        if piece.family in (Family.SNARE, Family.TOM, Family.KICK):
            found += _Drum(groove, piece, mine, grid).gestures()
    return tuple(sorted(found, key=lambda gesture: gesture.main))


class _Grid:
    """The grid of sixteenths or their triplets that a groove's strokes lie on, moved by the drummer's lean."""

    def __init__(self, groove: Groove) -> None:
        self._groove = groove

    @cached_property
    def _way(self) -> tuple[int, float]:
        """Return the step in ticks and the lean, of the step that the strokes lie on most clearly."""
        ticks = [hit.tick for hit in self._groove.hits]
        sums = {step: sum(cmath.exp(2j * pi * (tick % step) / step) for tick in ticks) for step in (240, 160)}
        step = max(sums, key=lambda step: abs(sums[step]))
        return step, cmath.phase(sums[step]) / (2 * pi) * step

    def off(self, index: int) -> float:
        """Return how many ticks the hit *index* lies off the grid."""
        step, lean = self._way
        return abs((self._groove.hits[index].tick - lean + step / 2) % step - step / 2)


class _Drum:
    """One drum's strokes: *indices* into the groove's hits, in order."""

    def __init__(self, groove: Groove, piece: Piece, indices: list[int], grid: _Grid) -> None:
        self.indices, self.grid = indices, grid
        self.is_kick = piece.family is Family.KICK
        hits, timeline = groove.hits, groove.timeline
        tempo_at: Callable[[int], float] = timeline.tempo_at
        if len(timeline.tempos) == 1:
            only = timeline.tempos[0].tempo_bpm
            tempo_at = lambda tick: only  # noqa: E731 - saves a search for every stroke
        self.velocities = [hits[index].velocity for index in indices]
        self.gaps: list[float] = []  # seconds to the next stroke
        self.sixteenths: list[float] = []  # the same in sixteenth notes
        for before, after in pairwise(indices):
            tick = hits[before].tick
            ticks = hits[after].tick - tick
            self.gaps.append(ticks / (16 * tempo_at(tick)))  # 960 ticks x beats a minute / 60
            self.sixteenths.append(ticks / 240)

    def gestures(self) -> Iterator[Gesture]:
        """Yield this drum's gestures of more than one stroke."""
        link = KICK_LINK_SEC if self.is_kick else LINK_SEC
        first = 0
        count = len(self.indices)
        for last in range(count):
            if last + 1 < count and self.gaps[last] <= link and not self._is_counted(last):
                continue
            if last > first:
                yield from self._part(first, last)
            first = last + 1

    def _is_counted(self, at: int) -> bool:
        """Return whether the gap after stroke *at* goes on an even row, or is a sixteenth of the music."""
        gap = self.gaps[at]
        if gap > FLAM_SEC and self.sixteenths[at] >= SIXTEENTH:
            return True
        low, high = gap / EVEN, gap * EVEN
        row = [gap]
        before = 0
        while before < 2 and at - before > 0 and low <= self.gaps[at - before - 1] <= high:
            before += 1
            row.append(self.gaps[at - before])
        after = 0
        while after < 2 and at + after + 1 < len(self.gaps) and low <= self.gaps[at + after + 1] <= high:
            after += 1
            row.append(self.gaps[at + after])
        if len(row) < 2 or sum(row) / len(row) < COUNTED_SEC:
            return False
        if len(row) > 2:
            return True
        *others, last = self.velocities[at - before : at + after + 2]
        return last < FAR_LOUDER * max(others)  # three strokes that lead to a far louder one are a drag

    def _part(self, first: int, last: int) -> Iterator[Gesture]:
        """Yield the gestures among the close strokes *first* to *last*: accents take the strokes that lead to them."""
        mains = self._accents(first, last)
        if not mains:
            yield from self._without_accent(first, last)
            return
        start = first
        for main, after in zip(mains, [*mains[1:], last + 1], strict=True):
            graces = self._graces(start, main)
            lead = main - len(graces)
            if lead > start:
                yield from self._without_accent(start, lead - 1)
            # What follows is the next accent's, but for a rebound or a roll that this one begins.
            tail = range(main + 1, after if after > last else main + 1)
            follows = self._rebound(main, tail) or self._roll(main, tail)
            kind = _KINDS[len(graces)]
            if len(follows) + 1 >= FEWEST_IN_ROLL and not self.is_kick:
                kind = GestureKind.ROLL
            elif follows and not graces:
                kind = GestureKind.REBOUND
            if graces or follows:
                yield self._gesture(kind, main, [*graces, *follows])
            start = main + 1 + len(follows)
        if start < last:
            yield from self._without_accent(start, last)

    def _accents(self, first: int, last: int) -> list[int]:
        """Return the strokes from *first* to *last* that others lead to."""
        velocities, mains, since = self.velocities, [], first
        for at in range(first + 1, last + 1):
            if since == at:
                continue
            before = max(velocities[max(since, at - MOST_GRACES) : at])
            is_close = self.gaps[at - 1] <= FLAM_SEC
            among_many = at - since > MOST_GRACES or (at < last and self.gaps[at] <= FLAM_SEC)
            needed = FAR_LOUDER if not is_close else IN_ROLL_LOUDER if among_many else LOUDER
            if velocities[at] < needed * before:
                alone = at - first == 1 and at == last
                flat = alone and is_close and velocities[at] >= 0.95 * before
                wide = alone and velocities[at] >= LOUDER * before and self._is_led_to(at)
                if not flat and not wide:
                    continue
            if at < last and self.gaps[at] <= FLAM_SEC and velocities[at + 1] >= LOUDER * velocities[at]:
                continue  # still rising
            mains.append(at)
            since = at + 1
        return mains

    def _is_led_to(self, at: int) -> bool:
        """Return whether stroke *at* is on the grid, and the one before it clearly isn't."""
        off, before = self.grid.off(self.indices[at]), self.grid.off(self.indices[at - 1])
        return before > off + 30  # ticks: about 20 ms, past a drummer's looseness

    def _graces(self, start: int, main: int) -> list[int]:
        """Return the strokes from *start* on that lead to *main*; none where there are so many that they're a roll."""
        if main - start > MOST_GRACES + 1:
            return []
        graces: list[int] = []
        away = 0.0
        for at in range(main - 1, max(start, main - MOST_GRACES) - 1, -1):
            away += self.gaps[at]
            if away > RUFF_SEC:
                break
            graces.insert(0, at)
        return graces

    def _rebound(self, main: int, tail: Sequence[int]) -> list[int]:
        """Return *tail*, if it's one or two strokes that die away after *main*."""
        if not 0 < len(tail) < FEWEST_IN_ROLL - 1 and not (self.is_kick and tail):
            return []
        loud, away = self.velocities[main], 0.0
        for at in tail:
            away += self.gaps[at - 1]
            most = 1 / LOUDER if self.gaps[at - 1] <= FLAM_SEC and away <= LINK_SEC else 1 / FAR_LOUDER
            if self.velocities[at] > most * loud:
                return []
        return list(tail)

    def _roll(self, main: int, tail: Sequence[int]) -> list[int]:
        """Return *tail*, if with *main* it's enough strokes, close enough, for a roll."""
        if self.is_kick or len(tail) + 1 < FEWEST_IN_ROLL:
            return []
        return list(tail) if sum(self.gaps[main : tail[-1]]) / len(tail) < COUNTED_SEC else []

    def _without_accent(self, first: int, last: int) -> Iterator[Gesture]:
        """Yield what the strokes *first* to *last* are where none of them is led to: a rebound, a roll, or nothing."""
        tail = range(first + 1, last + 1)
        follows = self._roll(first, tail)
        if follows:
            yield self._gesture(GestureKind.ROLL, first, follows)
            return
        follows = self._rebound(first, tail)
        close = all(gap <= FLAM_SEC for gap in self.gaps[first:last])
        if follows or (close and tail):
            yield self._gesture(GestureKind.REBOUND, first, follows or list(tail))

    def _gesture(self, kind: GestureKind, main: int, graces: Sequence[int]) -> Gesture:
        return Gesture(kind, self.indices[main], tuple([self.indices[at] for at in graces]))


_KINDS = (GestureKind.SINGLE, GestureKind.FLAM, GestureKind.DRAG, GestureKind.RUFF)
