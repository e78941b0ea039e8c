"""The low end of both hands together: nothing sounds closer than is clear so far down (low interval limits).

What is held is let go where a later stroke would make mud with it. Of what is struck in one gesture the lesser moves an
octave up, or goes. Asked before the search, which then finds fingers, and after it, since it moves notes too.
"""

from __future__ import annotations

from collections.abc import Sequence

from handgroove.hands.change_lines import Changes
from handgroove.hands.hand_model import MIRROR, TOGETHER_SEC
from handgroove.hands.wishes import Wish
from handgroove.harmony.voice.low_limits import is_muddy
from handgroove.part import Change
from handgroove.strike import Hand, Role

CLEAR_FROM = 52  # E3: from here up no interval is muddy
OUT_OF_IT = CLEAR_FROM + 11  # from here up a note makes no mud with any


def is_mud(one: int, other: int) -> bool:
    """Return whether two pitches are too close so far down to sound together."""
    low, high = (one, other) if one < other else (other, one)
    return low != high and is_muddy(low, high)


def clear_low_end(
    left: Sequence[Wish], right: Sequence[Wish], changes: Changes, *, may_move: bool
) -> tuple[list[Wish], list[Wish]]:
    """Return both hands' wishes without mud; *changes* gets what moves (where it *may_move*) and what goes."""
    gone: set[int] = set()
    sounding: list[Wish] = []
    low = [wish for hand in (left, right) for wish in hand if wish.pitch < OUT_OF_IT]
    for wish in sorted(low, key=lambda w: (w.tick, w.pitch)):
        sounding = [old for old in sounding if old.end_tick > wish.tick and id(old) not in gone]
        if wish.pitch >= CLEAR_FROM and not sounding:
            sounding.append(wish)
            continue
        for old in sounding:
            if id(wish) in gone or not is_mud(old.pitch, wish.pitch):
                continue
            if wish.sec - old.sec > TOGETHER_SEC or (old.grace and old.tick < wish.tick):
                old.end_at(wish.tick, wish.sec)
                continue
            loser = old if old.worth < wish.worth else wish
            others = [one for one in (*sounding, wish) if one is not loser and id(one) not in gone]
            if not (may_move and _move_up(loser, others, changes)):
                gone.add(id(loser))
                changes.add(loser, Change.LEFT_OUT, "too close to another low note to be clear")
        if id(wish) not in gone:
            sounding.append(wish)
    return [w for w in left if id(w) not in gone], [w for w in right if id(w) not in gone]


def _move_up(wish: Wish, others: Sequence[Wish], changes: Changes) -> bool:
    """Move *wish* an octave up if that is clear of the *others*; a kick or a bass never: it keeps its octave."""
    pitch = wish.pitch + 12
    if wish.role in (Role.KICK, Role.BASS) or any(
        pitch == one.pitch or is_mud(pitch, one.pitch) for one in others
    ):
        return False
    changes.add(wish, Change.MOVED, "too close to another low note to be clear; moved an octave up")
    wish.pitch = pitch
    wish.view = pitch if wish.hand is Hand.RIGHT else MIRROR - pitch
    return True
