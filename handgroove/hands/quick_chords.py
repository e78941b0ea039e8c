"""Two chords of one hand that come faster than a key can be struck again: the hand rocks, and each has keys of its own.

Thinned key by key, the lesser chord would lose all its keys to the heavier one, and its stroke would be gone.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from handgroove.hands.change_lines import Changes
from handgroove.hands.reasons import format_rate
from handgroove.hands.wishes import Wish
from handgroove.part import Change
from handgroove.strike import Role

_EPS = 1e-6  # a gap that meets the limit exactly is long enough


def rock_chords(wishes: Sequence[Wish], key_hz: float, changes: Changes) -> list[Wish]:
    """Return one hand's *wishes* (in order), a heavier chord's inner or low key left to a lesser one so close to it.

    *key_hz* is how often a second one key can be struck; *changes* gets what is left to the other chord.
    """
    strokes = [list(stroke) for _, stroke in groupby(wishes, key=lambda wish: wish.tick)]
    given: set[int] = set()
    for at in range(len(strokes) - 1):
        pair = strokes[at : at + 2]
        gap_sec = pair[1][0].sec - pair[0][0].sec
        if gap_sec + _EPS >= 1 / key_hz or min(map(len, pair)) < 2 or not all(map(_is_chord, pair)):
            continue
        lesser, heavier = pair if pair[0][0].worth < pair[1][0].worth else pair[::-1]
        near = [
            wish.pitch
            for stroke in strokes[max(0, at - 1) : at + 3]
            if stroke is not lesser and abs(stroke[0].sec - lesser[0].sec) + _EPS < 1 / key_hz
            for wish in stroke
            if id(wish) not in given
        ]
        if any(wish.pitch not in near for wish in lesser):
            continue
        kept = [wish for wish in heavier if id(wish) not in given]
        wanted = {wish.pitch for wish in lesser}
        alone = [wish for wish in kept[:-1] if wish.pitch in wanted and near.count(wish.pitch) == 1]
        if alone:
            given.add(id(alone[0]))
            rate = format_rate(gap_sec)
            changes.add(alone[0], Change.THINNED, f"chords at {rate}: each takes keys of its own")
    return [wish for wish in wishes if id(wish) not in given] if given else list(wishes)


def _is_chord(stroke: Sequence[Wish]) -> bool:
    return all(wish.role is Role.COMPING and not wish.grace for wish in stroke)
