"""Targets: the keys that a hand goes for in one gesture, how they may be fingered, and what it costs to get there.

Between two single notes the ergonomic rules speak; where chords are concerned the hand's position does. What a move
costs is worked out once for a posture and a target, and remembered.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from handgroove.hands.finger_costs import AT_EASE, Costs, Shape

POSITION, POSITION_MOST = 0.8, 16.0  # what a semitone that the hand shifts costs, and any shift at most
NO_FINGERS = (0,) * 16
CHANGED_SHAPES = 3  # fingerings tried of a variant that changes something
MOST_ROWS = 4096  # postures remembered of one target; a song has hundreds

Posture = tuple[int, int, tuple[int, int] | None] | float | None
"""How a hand lies: the finger and key of its last single note, with the note before if that was single too; after a
chord where the thumb would rest; None before the first note."""


class Target:
    """The keys *views* (low to high; none = nothing is played) and the *shapes* in which they may be fingered."""

    __slots__ = ("_costs", "_rows", "_views", "shapes")

    def __init__(self, costs: Costs, views: tuple[int, ...], shapes: Sequence[Shape]) -> None:
        self._costs, self._views, self.shapes = costs, views, shapes
        self._rows: dict[Posture, list[float]] = {}

    def moves_from(self, posture: Posture) -> list[float]:
        """Return what it costs to get from *posture* to each shape: by the rules between notes, else by position."""
        row = self._rows.get(posture)
        if row is None:
            if len(self._rows) >= MOST_ROWS:
                self._rows.clear()
            row = self._rows[posture] = self._work_out(posture)
        return row

    def _work_out(self, posture: Posture) -> list[float]:
        if not self._views:
            return [0.0]
        view, single = self._views[0], len(self._views) == 1
        if posture is None:
            return [self._costs.start(shape.fingers[0], view) if single else 0.0 for shape in self.shapes]
        if isinstance(posture, tuple):
            finger, pitch, before = posture
            if single:
                return [
                    self._costs.way(before, finger, pitch, shape.fingers[0], view) for shape in self.shapes
                ]
            posture = pitch - AT_EASE[finger]
        return [min(abs(view + shape.position - posture) * POSITION, POSITION_MOST) for shape in self.shapes]


@lru_cache(maxsize=4096)
def find_target(
    costs: Costs, views: tuple[int, ...], asked: tuple[int, ...], refingered: float, is_changed: bool
) -> Target:
    """Return the target *views* with the fingers *asked* (0: any), also with others if those are *refingered*.

    *refingered* is what each asked finger costs that is not used (0 = all are kept to). A variant that *is_changed*
    gets fewer fingerings.
    """
    if not views:
        return Target(costs, views, (Shape(0.0, (), 0.0),))
    kept = costs.shapes(views, asked)
    if not refingered or not any(asked):
        return Target(costs, views, kept)
    others = [
        Shape(shape.cost + wrong * refingered, shape.fingers, shape.position)
        for shape in costs.shapes(views, NO_FINGERS[: len(asked)])
        if (wrong := sum(want not in (0, got) for want, got in zip(asked, shape.fingers, strict=False)))
    ]
    shapes = (*kept, *others)
    return Target(costs, views, shapes[:CHANGED_SHAPES] if is_changed else shapes)
