"""The search: the best lines through a frame, by dynamic programming over pairs of pitches.

For every motive (and none) and every landing the cheapest path is found exactly (R. Bellman, 1957, *Dynamic
Programming*); with no motive, the k cheapest. Costs look at one note, two neighbours and three in a row, so a state
is the last two pitches. All motives and landings go through the arrays together.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from functools import lru_cache
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
    speed_cost,
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


def find_paths(frame: Frame, motives: tuple[Motive, ...] = MOTIVES) -> list[Path]:
    """Find the best paths through *frame*, cheapest first: one for each motive and landing, several with none."""
    landings: tuple[int | None, ...] = frame.landings or (None,)
    bound = [(motive, landing) for motive in motives if motive.moves for landing in landings]
    free = [(motive, landing) for motive in motives if not motive.moves for landing in landings]
    prices = _price(frame, landings)
    paths = []
    if bound:
        paths += _search(frame, prices, bound, 1)
    if free:
        paths += _search(frame, prices, free, FREE_PATHS)
    unique: dict[tuple[tuple[int, ...], int | None], Path] = {}
    for path in sorted(paths, key=lambda path: (path.cost, path.pitches, path.landing or 0)):
        unique.setdefault((path.pitches, path.landing), path)
    return list(unique.values())


@dataclass(frozen=True)
class _Prices:
    """What pitches cost by themselves at each onset, for each landing, and what the intervals into each onset cost."""

    nodes: list[dict[int | None, Costs]]
    edges: list[Costs]

    def of(self, index: int, jobs: list[tuple[Motive, int | None]]) -> Costs:
        """Return the costs of onset *index*'s pitches for each job: job, (rank, pitch before), pitch."""
        import numpy as np

        return np.stack([self.nodes[index][landing] for _, landing in jobs])[:, None, None, :]


def _price(frame: Frame, landings: tuple[int | None, ...]) -> _Prices:
    """Price a frame's pitches and intervals, once for all motives."""
    indices = range(len(frame.onsets))
    nodes = [_nodes(frame, index, landings) for index in indices]
    return _Prices(nodes, [_edges(frame, index) if index else nodes[0][landings[0]] for index in indices])


def _search(frame: Frame, prices: _Prices, jobs: list[tuple[Motive, int | None]], count: int) -> list[Path]:
    """Return the *count* cheapest paths of each job (a motive and a landing)."""
    import numpy as np

    moves = [motive_moves(frame, motive) for motive, _ in jobs]
    best = prices.of(0, jobs)
    backs: list[Choices] = []
    for index in range(1, len(frame.onsets)):
        edge = prices.edges[index] + _bind(frame, index, [move[index] for move in moves])
        total = best[:, :, :, :, None] + _turns(frame, index)
        jobs_, ranks, before, here, after = total.shape
        flat = total.reshape(jobs_, ranks * before, here, after)
        keep = min(count, ranks * before)
        order = flat.argmin(axis=1)[:, None] if keep == 1 else _smallest(flat, keep)
        best = np.take_along_axis(flat, order, axis=1) + edge[:, None] + prices.of(index, jobs)
        backs.append(order.astype(np.int32))
    best = best + _landing(frame, jobs)[:, None, None, :]
    return [
        path for job in range(len(jobs)) for path in _read(frame, jobs[job], best[job], backs, job, count)
    ]


def _smallest(flat: Costs, count: int) -> Choices:
    """Return the indices of the *count* smallest entries along the second axis, smallest first."""
    import numpy as np

    some = np.argpartition(flat, count - 1, axis=1)[:, :count]
    order = np.argsort(np.take_along_axis(flat, some, axis=1), axis=1, kind="stable")
    return np.take_along_axis(some, order, axis=1).astype(np.int32)


def _nodes(frame: Frame, index: int, landings: tuple[int | None, ...]) -> dict[int | None, Costs]:
    """Return what each pitch of onset *index*'s ladder costs by itself, for each landing."""
    import numpy as np

    ladder = frame.ladders[index]
    own = np.array([frame.chord_cost(index, pitch) + frame.range_cost(pitch) for pitch in ladder])
    nodes: dict[int | None, Costs] = {}
    for landing in landings:
        contour = [0.0 if landing is None else frame.contour_cost(index, pitch, landing) for pitch in ladder]
        nodes[landing] = (own + np.array(contour)).astype(np.float32)
    return nodes


def edge_cost(frame: Frame, index: int, semitones: int) -> float:
    """Return what the interval into onset *index* costs: its rarity, and how hard it is at this speed."""
    share = MOTION_BETWEEN if frame.onsets[index].new_group else 1.0
    return share * motion_cost(semitones) + speed_cost(semitones, 1 / max(0.02, frame.seconds[index - 1]))


def _edges(frame: Frame, index: int) -> Costs:
    """Return what each interval into onset *index* costs: pitch before, pitch."""
    import numpy as np

    sizes = _size_table(frame.ladders[index - 1], frame.ladders[index])
    low, high = int(sizes.min()), int(sizes.max())
    known = np.array([edge_cost(frame, index, size) for size in range(low, high + 1)], dtype=np.float32)
    return known[sizes - low]


@lru_cache(maxsize=64)
def _size_table(before: tuple[int, ...], after: tuple[int, ...]) -> Choices:
    import numpy as np

    return np.array([[b - a for b in after] for a in before], dtype=np.int32)


def _bind(frame: Frame, index: int, moves: list[int | None]) -> Costs:
    """Return what leaving each job's motive costs, for each pair of pitches."""
    import numpy as np

    before, after = frame.ladders[index - 1], frame.ladders[index]
    steps = _step_table(before, after)
    zero = np.zeros(steps.shape, dtype=np.float32)
    tables: dict[int | None, Costs] = {None: zero}
    for move in set(moves) - {None}:
        tables[move] = np.where(steps == move, ON_MOTIVE, OFF_MOTIVE).astype(np.float32)
    return np.stack([tables[move] for move in moves])


@lru_cache(maxsize=64)
def _step_table(before: tuple[int, ...], after: tuple[int, ...]) -> Choices:
    import numpy as np

    return np.array([[steps_between(after, a, b) for b in after] for a in before], dtype=np.int32)


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


def _landing(frame: Frame, jobs: list[tuple[Motive, int | None]]) -> Costs:
    import numpy as np

    ladder = frame.ladders[-1]
    rows = [
        [
            0.0 if landing is None else landing_step_cost(landing - pitch) + frame.landing_cost(landing)
            for pitch in ladder
        ]
        for _, landing in jobs
    ]
    return np.array(rows, dtype=np.float32)


def _read(
    frame: Frame,
    job: tuple[Motive, int | None],
    best: Costs,
    backs: list[Choices],
    number: int,
    count: int,
) -> list[Path]:
    """Read the cheapest paths of one job back from the choices made."""
    import numpy as np

    motive, landing = job
    _, befores, heres = best.shape
    paths = []
    for flat in np.argsort(best.reshape(-1), kind="stable")[:count]:
        rank, rest = divmod(int(flat), befores * heres)
        before, here = divmod(rest, heres)
        pitches = [frame.ladders[-1][here]]
        for index in range(len(frame.onsets) - 1, 0, -1):
            pitches.append(frame.ladders[index - 1][before])
            choice = int(backs[index - 1][number, rank, before, here])
            wide = len(frame.ladders[index - 2]) if index >= 2 else 1
            rank, earlier = divmod(choice, wide)
            here, before = before, earlier
        paths.append(Path(tuple(reversed(pitches)), landing, motive, float(best.reshape(-1)[flat])))
    return paths
