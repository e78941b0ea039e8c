"""The backbone: the bar or bars that a groove keeps coming back to, with its variations told apart.

Bars that share most of their cells are one idea; an idea is told by the cells that most of its bars have. Ideas that
come often enough are backbone bars, named A, B, C ... in the order in which they are first played; the rest are odd
bars. Where the ideas come in turn (A B A B), the backbone has that many bars.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from handgroove.groove.know.cells import BarCells, Cell, Voice, make_cells

SAME_IDEA = 0.62  # bars at least this alike are the same idea ...
# What changes a bar to the ear; ghosts, pedals and crashes come and go without making it another bar.
STRUCTURE = frozenset({Voice.KICK, Voice.SNARE, Voice.OPEN, Voice.TOM, Voice.HAND})
MOST_IDEAS = 24
LONGEST_LOOP = 4


@dataclass(frozen=True, slots=True)
class Idea:
    """A bar that is played again and again: its *letter*, its common *cells*, and the indices of its *bars*.

    *model* is the index of the bar that is most like the common cells.
    """

    letter: str
    cells: BarCells
    bars: tuple[int, ...]
    model: int


@dataclass(frozen=True, slots=True)
class Backbone:
    """What a groove is built of: its *ideas*, each bar's *letters* ("" = odd) and *likeness* to the nearest idea.

    *loop* are the indices of the bars that make up the backbone, in playing order (one bar, or two to four).
    """

    ideas: tuple[Idea, ...]
    letters: tuple[str, ...]
    likeness: tuple[float, ...]
    loop: tuple[int, ...]
    bars: tuple[BarCells, ...] = ()

    def idea(self, letter: str) -> Idea | None:
        """Return the idea called *letter*, if there is one."""
        return next((idea for idea in self.ideas if idea.letter == letter), None)

    def is_variation(self, index: int) -> bool:
        """Return whether bar *index* (from 0) is a varied statement of its idea."""
        return any(self.differences(index))

    def differences(self, index: int) -> tuple[tuple[Cell, ...], tuple[Cell, ...]]:
        """Return what bar *index* adds to its idea and what it leaves out, but for ornaments; nothing for odd bars."""
        idea = self.idea(self.letters[index])
        if idea is None:
            return (), ()
        here, usual = self.bars[index].cells, idea.cells.cells
        return _structure(here - usual), _structure(usual - here)


class _Group:
    """The bars of one idea while they are gathered, and how often each cell came."""

    def __init__(self, index: int, cells: BarCells) -> None:
        self.bars = [index]
        self.counts: Counter[Cell] = Counter(cells.cells)
        self.common = cells

    def add(self, index: int, cells: BarCells) -> None:
        self.bars.append(index)
        self.counts.update(cells.cells)
        half = len(self.bars) / 2
        self.common = make_cells((cell for cell, count in self.counts.items() if count > half), cells.slots)


def find_backbone(bars: Sequence[BarCells]) -> Backbone:
    """Find the backbone of *bars* (their patterns in playing order; empty bars belong to no idea)."""
    groups = _gather(bars)
    played = sum(len(group.bars) for group in groups)
    often = max(2, round(0.12 * played)) if played > 2 else 1
    kept = sorted((g for g in groups if len(g.bars) >= often), key=lambda g: g.bars[0])
    if not kept and groups:
        kept = [max(groups, key=lambda g: len(g.bars))]
    letters = [""] * len(bars)
    ideas = []
    for letter, group in zip("ABCDEFGHIJKLMNOP", kept, strict=False):
        model = max(group.bars, key=lambda i: (bars[i].likeness(group.common), -i))
        ideas.append(Idea(letter, group.common, tuple(group.bars), model))
        for index in group.bars:
            letters[index] = letter
    likeness = tuple(_nearest(cells, ideas) for cells in bars)
    return Backbone(tuple(ideas), tuple(letters), likeness, _find_loop(letters, ideas, bars), tuple(bars))


def _structure(cells: frozenset[Cell]) -> tuple[Cell, ...]:
    return tuple(sorted((slot, voice) for slot, voice in cells if voice in STRUCTURE))


def _gather(bars: Sequence[BarCells]) -> list[_Group]:
    """Gather bars into ideas, twice over: the second time around, every bar can choose among all ideas."""
    groups: list[_Group] = []
    for index, cells in enumerate(bars):
        if not cells.cells:
            continue
        best = _best(cells, groups)
        if best is not None:
            best.add(index, cells)
        elif len(groups) < MOST_IDEAS:
            groups.append(_Group(index, cells))
    commons = [group.common for group in sorted(groups, key=lambda g: -len(g.bars))]
    again: dict[int, _Group] = {}
    for index, cells in enumerate(bars):
        if not cells.cells:
            continue
        scores = [cells.likeness(common) if common.slots == cells.slots else 0.0 for common in commons]
        best_score = max(scores)
        if best_score < SAME_IDEA and len(again) < MOST_IDEAS + len(bars):
            again[-index - 1] = _Group(index, cells)
            continue
        key = scores.index(best_score)
        if key in again:
            again[key].add(index, cells)
        else:
            again[key] = _Group(index, cells)
    return list(again.values())


def _best(cells: BarCells, groups: Sequence[_Group]) -> _Group | None:
    best, best_score = None, SAME_IDEA
    for group in groups:
        if group.common.slots == cells.slots and (score := cells.likeness(group.common)) >= best_score:
            best, best_score = group, score
    return best


def _nearest(cells: BarCells, ideas: Sequence[Idea]) -> float:
    """Return the likeness of a bar to the idea that it is most like."""
    return max((cells.likeness(idea.cells) for idea in ideas if idea.cells.slots == cells.slots), default=0.0)


def _find_loop(letters: Sequence[str], ideas: Sequence[Idea], bars: Sequence[BarCells]) -> tuple[int, ...]:
    """Return the bars that make one round of the groove: those most like the ideas, in their usual order."""
    if not ideas:
        return ()
    length = _loop_length(letters)
    if length == 1:
        return (max(ideas, key=lambda idea: len(idea.bars)).model,)
    by_letter = {idea.letter: idea for idea in ideas}
    rounds: Counter[tuple[str, ...]] = Counter()
    first_at: dict[tuple[str, ...], int] = {}
    start = next(index for index, letter in enumerate(letters) if letter)
    for index in range(start, len(letters) - length + 1, length):
        turn = tuple(letters[index : index + length])
        if all(turn):
            rounds[turn] += 1
            first_at.setdefault(turn, index)
    if not rounds:
        return (max(ideas, key=lambda idea: len(idea.bars)).model,)
    usual = max(rounds, key=lambda turn: (rounds[turn], -first_at[turn]))
    starts = [
        i for i in range(start, len(letters) - length + 1, length) if tuple(letters[i : i + length]) == usual
    ]
    best = max(
        starts,
        key=lambda i: (sum(bars[i + k].likeness(by_letter[usual[k]].cells) for k in range(length)), -i),
    )
    return tuple(range(best, best + length))


def _loop_length(letters: Sequence[str]) -> int:
    """Return after how many bars the letters come round again: the shortest length that explains them well."""
    scores = {}
    for length in range(1, LONGEST_LOOP + 1):
        pairs = [(a, b) for a, b in zip(letters, letters[length:], strict=False) if a and b]
        if len(pairs) < 2 * length:
            continue
        scores[length] = sum(a == b for a, b in pairs) / len(pairs)
    if not scores:
        return 1
    best = max(scores.values())
    fitting = [length for length in sorted(scores) if scores[length] >= best - 0.1]
    # Three bars only if nothing else
    return fitting[0] if fitting[0] != 3 or len(fitting) == 1 else fitting[1]
