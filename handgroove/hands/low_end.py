"""The low end of both hands together: nothing sounds closer than is clear so far down (low interval limits).

What is held is let go where a later stroke would make mud with it. Of what is struck in one gesture the lesser moves
up, or goes: a snare to the octave of the low note that is struck, as the thumb replies to any low note, and whatever
else an octave. Asked before the search, which then finds fingers, and after it, since it moves notes too.
"""

from __future__ import annotations

from collections.abc import Sequence

from handgroove.hands.apart import move_by
from handgroove.hands.change_lines import Changes
from handgroove.hands.hand_model import TOGETHER_SEC
from handgroove.hands.wishes import Wish
from handgroove.harmony.voice.low_limits import is_muddy
from handgroove.part import Change
from handgroove.strike import Role

OCTAVE = 12
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
            loser, winner = (old, wish) if old.worth < wish.worth else (wish, old)
            ways = ((loser, winner), (winner, loser)) if winner.role is Role.SNARE else ((loser, winner),)
            near = [one for one in (*sounding, wish) if id(one) not in gone]
            if not (may_move and any(_move_up(mover, other, near, changes) for mover, other in ways)):
                gone.add(id(loser))
                changes.add(loser, Change.LEFT_OUT, "too close to another low note to be clear")
        if id(wish) not in gone:
            sounding.append(wish)
    return [w for w in left if id(w) not in gone], [w for w in right if id(w) not in gone]


def _move_up(wish: Wish, other: Wish, near: Sequence[Wish], changes: Changes) -> bool:
    """Move *wish* above *other*, clear of all that is *near*; a kick or a bass never: it keeps its octave."""
    if wish.role in (Role.KICK, Role.BASS):
        return False
    octave = wish.pitch + OCTAVE
    low = other.pitch + OCTAVE if wish.role is Role.SNARE and other.pitch < wish.pitch else octave
    for pitch in dict.fromkeys((low, octave)):
        if not any(one is not wish and (pitch == one.pitch or is_mud(pitch, one.pitch)) for one in near):
            where = "an octave up" if pitch == octave else "to the octave of the low note"
            changes.add(wish, Change.MOVED, f"too close to another low note to be clear; moved {where}")
            move_by(wish, pitch - wish.pitch)
            return True
    return False
