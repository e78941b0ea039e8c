"""Keeping two hands apart: no key struck by both, no hand through the other, nothing off the keyboard.

Where two wishes clash, the one worth less gives way: it is let go early, moved an octave, or left out.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from handgroove.hands.change_lines import Changes
from handgroove.hands.hand_model import MIRROR, TOGETHER_SEC
from handgroove.hands.player import Player
from handgroove.hands.wishes import Wish
from handgroove.part import Change
from handgroove.strike import LEFT, RIGHT, Hand

LOWEST, HIGHEST = 21, 108  # a piano's 88 keys


def clash(left: Wish, right: Wish, may_cross: bool) -> bool:
    """Return whether two wishes that sound together need the same key, or the hands to cross where they may not."""
    return left.pitch == right.pitch or (left.pitch > right.pitch and not may_cross)


def overlap(one: Wish, other: Wish, action_sec: float) -> bool:
    """Return whether two wishes sound together, or strike one key faster than its action repeats."""
    if one.tick < other.end_tick and other.tick < one.end_tick:
        return True
    return one.pitch == other.pitch and abs(one.sec - other.sec) < action_sec


class Neighbours:
    """One hand's wishes (in order of time), asked who of them sounds in a stretch of ticks."""

    def __init__(self, wishes: Sequence[Wish]) -> None:
        self.wishes = list(wishes)
        self.starts = [wish.tick for wish in self.wishes]
        self.longest = max((wish.end_tick - wish.tick for wish in self.wishes), default=0)

    def near(self, start_tick: int, end_tick: int) -> list[Wish]:
        """Return the wishes that sound somewhere between *start_tick* and *end_tick*."""
        first = bisect_right(self.starts, start_tick - self.longest - 1)
        last = bisect_left(self.starts, end_tick)
        return [wish for wish in self.wishes[first:last] if wish.end_tick > start_tick]


def keep_apart(
    left: Sequence[Wish], right: Sequence[Wish], player: Player, changes: Changes
) -> tuple[list[Wish], list[Wish]]:
    """Return both hands' wishes without clashes between them, at little loss; *changes* gets what was done."""
    action_sec = 1 / player.speeds.action_hz
    gone: set[int] = set()
    order = sorted((*left, *right), key=lambda w: (w.sec, -w.worth, w.pitch))
    sounding: list[Wish] = []
    for wish in order:
        _onto_the_keyboard(wish, changes)
        still = []
        for old in sounding:
            if id(old) in gone or (old.end_tick <= wish.tick and wish.sec - old.sec > action_sec):
                continue
            still.append(old)
            if id(wish) in gone or old.hand is wish.hand or not overlap(old, wish, action_sec):
                continue
            one, other = (old, wish) if old.hand is LEFT else (wish, old)
            if clash(one, other, player.may_cross):
                loser = _give_way(old, wish, still, player, action_sec, changes)
                if loser is not None:
                    gone.add(id(loser))
        if id(wish) not in gone:
            still.append(wish)
        sounding = [old for old in still if id(old) not in gone]
    return [w for w in left if id(w) not in gone], [w for w in right if id(w) not in gone]


def _onto_the_keyboard(wish: Wish, changes: Changes) -> None:
    if LOWEST <= wish.pitch <= HIGHEST:
        return
    changes.add(wish, Change.MOVED, "the piano has no such key; moved by octaves onto the keyboard")
    while wish.pitch < LOWEST:
        move_by(wish, 12)
    while wish.pitch > HIGHEST:
        move_by(wish, -12)


def move_by(wish: Wish, semitones: int) -> None:
    """Move *wish* by *semitones*, in the hand's own view too."""
    wish.pitch += semitones
    wish.view = wish.pitch if wish.hand is RIGHT else MIRROR - wish.pitch


def _give_way(
    old: Wish, new: Wish, sounding: Sequence[Wish], player: Player, action_sec: float, changes: Changes
) -> Wish | None:
    """Settle a clash between *old* and *new*; return the wish that has to go, if one has to."""
    same_key = old.pitch == new.pitch
    if new.sec - old.sec > max(TOGETHER_SEC, action_sec if same_key else 0.0) and old.worth < 4 * new.worth:
        why = f"the {new.hand} hand strikes the same key" if same_key else f"the {new.hand} hand comes past"
        changes.shorten(old, new.tick, new.sec, why)
        return None
    loser, winner = (old, new) if old.worth < new.worth else (new, old)
    if same_key and abs(old.sec - new.sec) <= TOGETHER_SEC:
        winner.hits = tuple(sorted({*winner.hits, *loser.hits}))
        winner.velocity = max(winner.velocity, loser.velocity)
        why = f"both hands want this key; the {winner.hand} hand strikes it for both"
        changes.add(loser, Change.THINNED, why)
        return loser
    if loser is new:
        away = -12 if loser.hand is Hand.LEFT else 12
        move_by(loser, away)
        if LOWEST <= loser.pitch <= HIGHEST and not any(
            _clashes(loser, other, player, action_sec) for other in sounding
        ):
            where = "down" if away < 0 else "up"
            changes.add(loser, Change.MOVED, f"the hands would cross; moved an octave {where}")
            return None
        move_by(loser, -away)
    what = "both hands want one key" if same_key else "the hands would cross"
    changes.add(loser, Change.LEFT_OUT, f"{what}; the {winner.role} matters more")
    return loser


def _clashes(wish: Wish, other: Wish, player: Player, action_sec: float) -> bool:
    if other is wish or not overlap(wish, other, action_sec):
        return False
    if other.hand is wish.hand:
        return other.pitch == wish.pitch
    left, right = (wish, other) if wish.hand is Hand.LEFT else (other, wish)
    return clash(left, right, player.may_cross)
