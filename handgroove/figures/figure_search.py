"""The search: the best lines through a frame, by dynamic programming over pairs of pitches.

For every motive (and none) and every landing the cheapest path is found exactly (R. Bellman, 1957, *Dynamic
Programming*); with no motive, the k cheapest. Costs look at one note, two neighbours and three in a row, so a state
is the last two pitches. All motives and landings go through the arrays together: motive, landing, pitch before, pitch.
Only the least costs up to each state are kept; a path is read back from its end, and what is equal (as single-precision
sums) is settled for the lower pitch.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from heapq import heappop, heappush
from typing import TYPE_CHECKING

from handgroove.figures.figure_costs import (
    MOTION_BETWEEN,
    OFF_MOTIVE,
    ON_MOTIVE,
    landing_step_cost,
    leap_cost,
    motion_cost,
    move_class,
    repeat_cost,
    speed_costs,
)
from handgroove.figures.frame import Frame
from handgroove.figures.motives import MOTIVES, Motive

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Costs = NDArray[np.float32]
    Choices = NDArray[np.int32]

FREE_PATHS = 4  # how many paths are kept where no motive binds them


@dataclass(frozen=True, slots=True)
class Path:
    """One line: its *pitches*, the pitch it lands on (None = open), the *motive* it was led by, and its *cost*."""

    pitches: tuple[int, ...]
    landing: int | None
    motive: Motive
    cost: float


def steps_between(ladder: tuple[int, ...], before: int, after: int) -> int:
    """Return how many steps of *ladder* lie from *before* to *after*; a pitch between steps counts as the next."""
    return bisect_left(ladder, after) - bisect_left(ladder, before)


def motive_moves(frame: Frame, motive: Motive) -> list[int | None]:
    """Return, for each onset, the scale steps that *motive* leads into it by (None = free, as at a group's start)."""
    moves: list[int | None] = []
    place = 0
    for onset in frame.onsets:
        place = 0 if onset.new_group else place + 1
        moves.append(motive.moves[(place - 1) % len(motive.moves)] if place and motive.moves else None)
    return moves


def find_paths(frame: Frame, motives: Sequence[Motive] = MOTIVES) -> list[Path]:
    """Find the best paths through *frame*, cheapest first: one for each motive and landing, several with none."""
    sweep = _Sweep(frame, motives)
    paths = [
        path
        for which, motive in enumerate(motives)
        for landing in range(len(sweep.landings))
        for path in sweep.read(which, landing, 1 if motive.moves else FREE_PATHS)
    ]
    unique: dict[tuple[tuple[int, ...], int | None], Path] = {}
    for path in sorted(paths, key=_order):
        unique.setdefault((path.pitches, path.landing), path)
    return list(unique.values())


def find_best(frame: Frame, motives: Sequence[Motive] = MOTIVES) -> Path:
    """Find the best path through *frame*: the first that `find_paths` finds, without reading the others."""
    import numpy as np

    sweep = _Sweep(frame, motives)
    least = sweep.ends.min(axis=(2, 3))
    return min(
        (
            path
            for which, landing in np.argwhere(least == least.min())
            for path in sweep.read(which, landing, 1)
        ),
        key=_order,
    )


def _order(path: Path) -> tuple[float, tuple[int, ...], int]:
    return path.cost, path.pitches, path.landing or 0


class _Sweep:
    """All *motives* and *landings* taken through a frame at once; *ends* are the costs of whole paths."""

    def __init__(self, frame: Frame, motives: Sequence[Motive]) -> None:
        self.frame, self.motives = frame, motives
        self.landings: tuple[int | None, ...] = frame.landings or (None,)
        moves = [motive_moves(frame, motive) for motive in motives]
        first = _nodes(frame, 0, self.landings)[None].repeat(len(motives), axis=0)
        self.ways: list[Costs] = [first]  # the least costs up to each onset
        for index in range(1, len(frame.onsets)):
            led = tuple([move[index] for move in moves])
            edge = _edges(frame, index) + _bind(*frame.ladders[index - 1 : index + 1], led)
            least = (self.ways[-1][..., None] + _turns(frame, index)).min(axis=2)
            self.ways.append(least + edge[:, None] + _nodes(frame, index, self.landings))
        self.ends = self.ways[-1] + _landing(frame, self.landings)

    def read(self, which: int, landing: int, count: int) -> list[Path]:
        """Return the *count* cheapest paths of one motive and landing, from their ends back, cheapest first."""
        ladders, last = self.frame.ladders, len(self.frame.onsets) - 1
        ends = self.ends[which, landing]
        # Cost, onset whose pair stands first, places in ladders
        heap: list[tuple[float, int, tuple[int, ...]]] = []
        for flat in ends.argsort(axis=None, kind="stable")[:count].tolist():
            before, here = divmod(flat, ends.shape[1])
            heappush(heap, (float(ends[before, here]), last, (before, here)))
        paths: list[Path] = []
        while heap and len(paths) < count:
            cost, index, places = heappop(heap)
            if index == 0:
                pitches = tuple([ladder[place] for ladder, place in zip(ladders, places[1:], strict=True)])
                paths.append(Path(pitches, self.landings[landing], self.motives[which], cost))
                continue
            before, here = places[:2]
            row = self.ways[index - 1][which, landing, :, before] + _turns(self.frame, index)[:, before, here]
            order = row.argsort(kind="stable")[:count].tolist() if count > 1 else [int(row.argmin())]
            for earlier in order:
                dearer = float(row[earlier] - row[order[0]])
                heappush(heap, (cost + dearer, index - 1, (earlier, *places)))
        return paths


def _nodes(frame: Frame, index: int, landings: Sequence[int | None]) -> Costs:
    """Return what each pitch of onset *index*'s ladder costs by itself: landing, (pitch before), pitch."""
    import numpy as np

    own = np.array(frame.own_costs(index))
    contour = [
        [0.0] * len(own) if landing is None else frame.contour_costs(index, landing) for landing in landings
    ]
    nodes: Costs = (own + np.array(contour)).astype(np.float32)[:, None]
    return nodes


def edge_costs(frame: Frame, index: int, widest: int) -> list[float]:
    """Return what each interval up to *widest* semitones into onset *index* costs: its rarity, and how hard it is."""
    share = MOTION_BETWEEN if frame.onsets[index].new_group else 1.0
    speeds = speed_costs(1 / max(0.02, frame.seconds[index - 1]), widest)
    return [share * motion_cost(size) + speed for size, speed in enumerate(speeds)]


def _edges(frame: Frame, index: int) -> Costs:
    """Return what each interval into onset *index* costs: pitch before, pitch."""
    import numpy as np

    sizes = _size_table(frame.ladders[index - 1], frame.ladders[index])
    found: Costs = np.array(edge_costs(frame, index, int(sizes.max())), dtype=np.float32)[sizes]
    return found  # up costs what down does


@lru_cache(maxsize=64)
def _size_table(before: tuple[int, ...], after: tuple[int, ...]) -> Choices:
    import numpy as np

    return np.array([[abs(b - a) for b in after] for a in before], dtype=np.int32)


@lru_cache(maxsize=256)
def _bind(before: tuple[int, ...], after: tuple[int, ...], moves: tuple[int | None, ...]) -> Costs:
    """Return what leaving each job's motive costs, for each pair of pitches."""
    import numpy as np

    steps = np.array([[steps_between(after, a, b) for b in after] for a in before])
    tables: dict[int | None, Costs] = {None: np.zeros(steps.shape, dtype=np.float32)}
    for move in set(moves) - {None}:
        tables[move] = np.where(steps == move, ON_MOTIVE, OFF_MOTIVE).astype(np.float32)
    return np.stack([tables[move] for move in moves])


def _turns(frame: Frame, index: int) -> Costs:
    """Return what three notes in a row cost by how the second move follows the first: pitch before, here, after."""
    import numpy as np

    if index < 2:
        return np.zeros((1, len(frame.ladders[index - 1]), len(frame.ladders[index])), dtype=np.float32)
    return _turn_table(frame.ladders[index - 2], frame.ladders[index - 1], frame.ladders[index])


@lru_cache(maxsize=64)
def _turn_table(first: tuple[int, ...], second: tuple[int, ...], third: tuple[int, ...]) -> Costs:
    import numpy as np

    classes = np.array([[move_class(b - a) for b in second] for a in first])
    by_class = np.array(
        [
            [[leap_cost(before, c - b) + repeat_cost(before, c - b) for c in third] for b in second]
            for before in range(5)
        ],
        dtype=np.float32,
    )
    return by_class[classes, np.arange(len(second))[None, :], :]


def _landing(frame: Frame, landings: Sequence[int | None]) -> Costs:
    """Return what it costs to go on from the last pitch to each landing: landing, (pitch before), pitch."""
    import numpy as np

    rows = [
        [
            0.0 if landing is None else landing_step_cost(landing - pitch) + frame.landing_cost(landing)
            for pitch in frame.ladders[-1]
        ]
        for landing in landings
    ]
    return np.array(rows, dtype=np.float32)[:, None]
