"""Sticking: which hand plays which stroke, by the rudiments' own hand patterns.

Source of the rudiments: Percussive Arts Society, *PAS International Drum Rudiments* (40 rudiments, 1984). R and L are
strokes, small letters grace strokes; a rudiment is written from its right-hand lead and mirrors for the left.
"""

from __future__ import annotations

from collections.abc import Sequence

from handgroove.figures.line import Onset
from handgroove.strike import Hand

RUDIMENTS: dict[str, str] = {
    "single stroke four": "RLRL",
    "double stroke roll": "RRLL",
    "five stroke roll": "RRLLR",
    "six stroke roll": "RLLRRL",
    "single paradiddle": "RLRRLRLL",
    "double paradiddle": "RLRLRRLRLRLL",
    "triple paradiddle": "RLRLRLRRLRLRLRLL",
    "single paradiddle-diddle": "RLRRLL",
    "flam": "lR",
    "drag": "llR",
    "flam tap": "lRRrLL",
    "single drag tap": "llRLrrLR",
}


def stick(rudiment: str, strokes: int, lead: Hand = Hand.RIGHT) -> tuple[Hand, ...]:
    """Return the hands of the first *strokes* strokes of *rudiment*, said again as often as needed, from *lead*.

    Grace strokes count as strokes. Where a rudiment ends on the hand that began it, its repeat leads with the other.
    """
    letters = RUDIMENTS[rudiment]
    hands: list[Hand] = []
    turn = lead
    while len(hands) < strokes:
        hands += [turn if letter in "Rr" else turn.other for letter in letters]
        if rudiment in ("five stroke roll", "flam", "drag"):
            turn = turn.other
    return tuple(hands[:strokes])


def find_rudiment(group: Sequence[Onset]) -> str:
    """Return the rudiment that a group of even onsets is stuck as, by its accents and drums; else single strokes."""
    pieces = [onset.piece for onset in group]
    accents = [onset.accent >= 1.0 for onset in group]
    if len(group) == 4 and pieces[0] is not pieces[1] and len(set(pieces[1:])) == 1:
        return "single paradiddle"  # the leading hand goes to another drum for the accent, and back
    if len(group) == 6 and accents == [True, False, False, False, False, True]:
        return "six stroke roll"
    if len(group) == 6 and accents == [True] + [False] * 5 and pieces[0] is not pieces[1]:
        return "double paradiddle"
    return "single stroke four"


def share_hands(onsets: Sequence[Onset], lead: Hand = Hand.RIGHT) -> tuple[Hand, ...]:
    """Return the hand of each of *onsets*, group by group, as a drummer would stick them."""
    hands: list[Hand] = []
    turn = lead
    index = 0
    while index < len(onsets):
        stop = index + 1
        while stop < len(onsets) and not onsets[stop].new_group:
            stop += 1
        group = onsets[index:stop]
        rudiment = find_rudiment(group)
        hands += stick(rudiment, len(group), turn)
        if rudiment == "single paradiddle" or (rudiment == "single stroke four" and len(group) % 2):
            turn = turn.other
        index = stop
    return tuple(hands)
