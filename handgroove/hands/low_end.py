"""The low end: a held note is let go where the next one would make mud with it (low interval limits)."""

from __future__ import annotations

from collections.abc import Sequence

from handgroove.hands.hand_model import TOGETHER_SEC
from handgroove.hands.wishes import Wish
from handgroove.harmony.voice.low_limits import is_muddy

CLEAR_FROM = 52  # E3: from here up no interval is muddy


def is_mud(one: int, other: int) -> bool:
    """Return whether two pitches are too close so far down to sound together."""
    low, high = (one, other) if one < other else (other, one)
    return low != high and is_muddy(low, high)


def let_mud_go(wishes: Sequence[Wish]) -> None:
    """End what one hand's *wishes* (in order) hold where a later stroke would make mud with it.

    What is struck in one gesture is a chord that somebody chose; a grace note is let go all the same.
    """
    sounding: list[Wish] = []
    for wish in wishes:
        if wish.pitch >= CLEAR_FROM and not sounding:
            continue
        still = []
        for old in sounding:
            if old.end_tick <= wish.tick:
                continue
            is_apart = wish.sec - old.sec > TOGETHER_SEC or (old.grace and old.tick < wish.tick)
            if is_apart and is_mud(old.pitch, wish.pitch):
                old.end_at(wish.tick, wish.sec)
            else:
                still.append(old)
        if wish.pitch < CLEAR_FROM:
            still.append(wish)
        sounding = still
