"""What one hand had to drop, offered to the other; what neither can play is left out, and said so."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Sequence

from handgroove.hands.apart import Neighbours
from handgroove.hands.change_lines import Changes
from handgroove.hands.hand_model import END, FIELDS, MIRROR, HandModel, fresh_memory, model_of
from handgroove.hands.player import Player
from handgroove.hands.variants import has_room
from handgroove.hands.wishes import Wish
from handgroove.part import Change
from handgroove.strike import Hand

LONGEST_SEC = 20.0  # a piano's note has died away by then; a longer one isn't looked for


def rescue(
    left: Sequence[Wish],
    right: Sequence[Wish],
    gone: Sequence[tuple[Wish, str]],
    player: Player,
    changes: Changes,
) -> tuple[list[Wish], list[Wish]]:
    """Return both hands' wishes, with those of *gone* that the other hand has a finger for."""
    hands = {Hand.LEFT: list(left), Hand.RIGHT: list(right)}
    for wish, reason in sorted(gone, key=lambda item: (item[0].tick, -item[0].worth, item[0].pitch)):
        helper = wish.hand.other
        first_hand = wish.hand
        subject_line = f"{reason}; the {helper} hand plays it"
        finger = 0
        if not wish.grace:
            finger = _take(wish, hands[helper], hands[first_hand], player, model_of(player, helper))
        if finger:
            changes.add(wish, Change.HANDED_OVER, subject_line)
            wish.hand, wish.finger = helper, finger
            wish.view = wish.pitch if helper is Hand.RIGHT else MIRROR - wish.pitch
            insort(hands[helper], wish, key=lambda w: (w.tick, w.pitch))
        else:
            changes.add(wish, Change.LEFT_OUT, reason)
    return hands[Hand.LEFT], hands[Hand.RIGHT]


def _take(wish: Wish, helpers: list[Wish], others: list[Wish], player: Player, model: HandModel) -> int:
    """Return the finger with which the helping hand can play *wish* besides all that it plays, or 0."""
    view = wish.pitch if wish.hand is Hand.LEFT else MIRROR - wish.pitch
    window = _around(wish, helpers, model)
    hand, wish.hand = wish.hand, wish.hand.other
    free = has_room(wish, wish.pitch, Neighbours(_around(wish, others, model)), player.may_cross, 1 / 14)
    wish.hand = hand
    if not free:
        return 0
    for finger in range(1, 6):
        if _fits(wish, finger, view, window, model):
            return finger
    return 0


def _around(wish: Wish, wishes: Sequence[Wish], model: HandModel) -> list[Wish]:
    """Return the wishes that could matter to *wish*: those struck, or still held, within the model's horizon."""
    start, end = wish.sec - model.horizon_sec, wish.end_sec + model.horizon_sec
    first = bisect_left(wishes, start - LONGEST_SEC, key=lambda w: w.sec)
    last = bisect_left(wishes, end, key=lambda w: w.sec)
    return [w for w in wishes[first:last] if w.end_sec >= start]


def _fits(wish: Wish, finger: int, view: int, window: Sequence[Wish], model: HandModel) -> bool:
    """Return whether the window can still be played, fingers unchanged, with *wish* on *finger*."""
    memory = fresh_memory()
    sounds = [(w.sec, w.view, w.finger, w.end_sec) for w in window]
    sounds.append((wish.sec, view, finger, wish.end_sec))
    sounds.sort()
    for sec, place, with_finger, end_sec in sounds:
        own = (with_finger - 1) * FIELDS
        if memory[own + END] > sec or model.obstacle(memory, with_finger, place, sec):
            return False
        memory[own : own + FIELDS] = (sec, place, end_sec, 0)
    return True
