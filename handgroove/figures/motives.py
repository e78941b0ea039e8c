"""Motives: small shapes, in scale steps from note to note, that a figure can say again on every drum.

Turn, neighbour, run and broken third are the melody textbooks' names (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Motive:
    """A shape: *moves* in scale steps from note to note within a group (cycled in longer ones), and its *name*."""

    name: str
    moves: tuple[int, ...]


FREE = Motive("", ())
MOTIVES = (
    Motive("an upper turn", (1, -1, -1)),
    Motive("a lower turn", (-1, 1, 1)),
    Motive("a run down", (-1, -1, -1)),
    Motive("a run up", (1, 1, 1)),
    Motive("an upper neighbour", (1, -1, 1)),
    Motive("a lower neighbour", (-1, 1, -1)),
    Motive("a third filled in from above", (2, -1, -1)),
    Motive("a third filled in from below", (-2, 1, 1)),
    Motive("up two steps and back", (1, 1, -1)),
    Motive("down two steps and back", (-1, -1, 1)),
    Motive("broken thirds falling", (-2, 1, -2)),
    Motive("a repeated note and a step down", (0, -1, 0)),
    Motive("a repeated note and a step up", (0, 1, 0)),
    FREE,
)
