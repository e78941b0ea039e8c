"""Clefs and octave lines: for each bar of a staff the way of writing it with the fewest ledger lines.

A change costs a reader more than a few ledger lines, so a dynamic programme over the bars decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from handgroove.output.score.sheet_model import Clef, Head, Symbol
from handgroove.strike import Hand


@dataclass(frozen=True, slots=True)
class ClefChoice:
    """How a bar is written: its *clef* and by how many *octaves* the notes are written away from where they sound."""

    clef: Clef
    octaves: int = 0

    @property
    def middle(self) -> int:
        """Return the sounding step above C0 that is written on the staff's middle line."""
        return _MIDDLE[self.clef] + 7 * self.octaves


_MIDDLE = {Clef.TREBLE: 34, Clef.BASS: 22}  # the middle line, B4 and D3, in steps above C0
_WAYS = {
    Hand.RIGHT: (ClefChoice(Clef.TREBLE), ClefChoice(Clef.BASS), ClefChoice(Clef.TREBLE, 1)),
    Hand.LEFT: (ClefChoice(Clef.BASS), ClefChoice(Clef.TREBLE), ClefChoice(Clef.BASS, -1)),
}
_CLEF_CHANGE, _LINE_CHANGE = 9.0, 4.0
_OCTAVE_LINE = 2.5
_FIRST = {Hand.RIGHT: ClefChoice(Clef.TREBLE), Hand.LEFT: ClefChoice(Clef.BASS)}


def ledger_lines(step: int, clef: Clef) -> int:
    """Return how many ledger lines a note *step* steps above C0 needs (negative below the staff)."""
    away = step - _MIDDLE[clef]
    lines = max(0, (abs(away) - 4) // 2)
    return lines if away > 0 else -lines


def diatonic(head: Head) -> int:
    """Return how many steps above C0 a head is named."""
    return "CDEFGAB".index(head.name.letter) + 7 * head.octave


def has_second(symbol: Symbol) -> bool:
    """Return whether two heads of a chord are neighbours, so that one stands on the stem's other side."""
    return any(b - a <= 1 for a, b in pairwise(diatonic(head) for head in symbol.heads))


def _bar_cost(steps: Sequence[int], way: ClefChoice) -> float:
    """Return what a reader pays for a bar: little up to two ledger lines, then ever more.

    Below the bass staff pianists read low octaves by their shape, so that lines cost less there.
    """
    cost = _OCTAVE_LINE if way.octaves else 0.0
    for step in steps:
        lines = ledger_lines(step - 7 * way.octaves, way.clef)
        if way.clef is Clef.BASS and lines < 0:
            over, each = max(0, -lines - 3), 0.7
        else:
            over, each = max(0, abs(lines) - 2), 1.3
        cost += 0.1 * abs(lines) + each * over * over
    return cost


def _change(before: ClefChoice, after: ClefChoice) -> float:
    return _CLEF_CHANGE * (before.clef is not after.clef) + _LINE_CHANGE * (before.octaves != after.octaves)


def choose_ways(bars: Sequence[Sequence[int]], hand: Hand) -> list[ClefChoice]:
    """Return the best way to write each bar, given the steps above C0 of each bar's notes."""
    ways = _WAYS[hand]
    best: dict[ClefChoice, tuple[float, list[ClefChoice]]] = {
        way: (0.0 if way == _FIRST[hand] else 3.0, []) for way in ways
    }
    for steps in bars:
        costs = {way: _bar_cost(steps, way) for way in ways}
        after: dict[ClefChoice, tuple[float, list[ClefChoice]]] = {}
        for way in ways:
            cost, path = min(
                ((c + _change(before, way), p) for before, (c, p) in best.items()),
                key=lambda option: option[0],
            )
            after[way] = (cost + costs[way], [*path, way])
        best = after
    return min(best.values(), key=lambda option: option[0])[1]
