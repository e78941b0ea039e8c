"""Splitting one stream of notes between two hands.

A line is drawn through the keyboard, moment by moment: what lies below it is the left hand's. The best course of the
line over the whole passage is found by dynamic programming: it costs to ask a hand for more than it reaches or more
than five notes, to move the line, and to draw it close to notes. Linear in the number of notes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from handgroove.hands.fingering import as_wish
from handgroove.hands.player import Player
from handgroove.hands.slices import cut_into_slices
from handgroove.hands.wishes import clock_of
from handgroove.part import Note
from handgroove.strike import Hand
from handgroove.timeline import Timeline

LOWEST_LINE, HIGHEST_LINE = 36, 84
REST = 60  # where the line lies if nothing speaks against it: middle C. All costs here: design choices, no source
OVER_REACH, OVER_FIVE, MOVE, AWAY, NARROW = 10.0, 20.0, 0.6, 0.05, 1.0


def split_by_search(notes: Sequence[Note], player: Player, timeline: Timeline) -> list[Note]:
    """Return *notes*, each given to the hand that the best line gives it to."""
    ordered = sorted(notes, key=lambda note: note.order)
    clock = clock_of(timeline)
    slices = cut_into_slices([as_wish(note, clock) for note in ordered])
    lines = range(LOWEST_LINE, HIGHEST_LINE + 1)
    best = [AWAY * abs(line - REST) for line in lines]
    came: list[list[int]] = []
    sounding: list[tuple[int, int]] = []  # end, pitch
    for piece in slices:
        start = piece.wishes[0].tick
        sounding = [item for item in sounding if item[0] > start + 60]
        sounding += [(wish.end_tick, wish.pitch) for wish in piece.wishes]
        best, source = _move(best)
        came.append(source)
        pitches = sorted(pitch for _, pitch in sounding)
        for index, line in enumerate(lines):
            best[index] += _cost(pitches, line, player)
    at = min(range(len(best)), key=best.__getitem__)
    done: list[Note] = []
    for piece, source in zip(reversed(slices), reversed(came), strict=True):
        for place, wish in enumerate(piece.wishes):
            hand = Hand.LEFT if wish.pitch < LOWEST_LINE + at else Hand.RIGHT
            done.append(replace(ordered[piece.first + place], hand=hand))
        at = source[at]
    return done


def _move(best: list[float]) -> tuple[list[float], list[int]]:
    """Return the cheapest cost of each line after a move from any other, and where it came from."""
    costs, source = list(best), list(range(len(best)))
    for order, step in ((range(1, len(costs)), -1), (range(len(costs) - 2, -1, -1), 1)):
        for index in order:
            cost = costs[index + step] + MOVE
            if cost < costs[index]:
                costs[index], source[index] = cost, source[index + step]
    return costs, source


def _cost(pitches: list[int], line: int, player: Player) -> float:
    """Return what it costs that the left hand takes the *pitches* below *line* and the right hand the others."""
    low = [pitch for pitch in pitches if pitch < line]
    high = pitches[len(low) :]
    cost = AWAY * abs(line - REST)
    for mine, size in ((low, player.left), (high, player.right)):
        if mine:
            cost += OVER_REACH * max(0, mine[-1] - mine[0] - size.most)
            cost += 0.3 * max(0, mine[-1] - mine[0] - size.comfortable)
            cost += OVER_FIVE * max(0, len(mine) - 5)
    if low and high and high[0] - low[-1] < 3:
        cost += NARROW
    return cost
