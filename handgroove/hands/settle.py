"""Settling: what two hands can play of all that they are asked, at the least loss, with a line for every change.

The way: strikes are taken apart into wishes; the hands are kept out of each other's way; each hand's passage is
searched as a whole; and what one hand had to drop is offered to the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handgroove.hands.apart import Neighbours, keep_apart
from handgroove.hands.change_lines import Changes
from handgroove.hands.finger_costs import make_costs
from handgroove.hands.low_end import clear_low_end
from handgroove.hands.outcome import apply_steps
from handgroove.hands.player import Player
from handgroove.hands.quick_chords import rock_chords
from handgroove.hands.repeats import thin_repeats
from handgroove.hands.rescue import rescue
from handgroove.hands.search import Search
from handgroove.hands.slices import cut_into_slices
from handgroove.hands.variants import Opener
from handgroove.hands.wishes import KEPT_WORTH, Clock, Wish, clock_of, end_at_next, merge_strokes, take_apart
from handgroove.part import Change, Note, Omission
from handgroove.strike import Asked, Hand
from handgroove.timeline import Timeline


@dataclass(frozen=True, slots=True)
class Settled:
    """What is played (*notes*, in order, fingered) and what was changed on the way (*omissions*, by time)."""

    notes: tuple[Note, ...]
    omissions: tuple[Omission, ...] = ()


def settle(
    asked: Sequence[Asked],
    player: Player,
    timeline: Timeline,
    *,
    keep: Sequence[int] = (),
    leave_out: Sequence[int] = (),
) -> Settled:
    """Return what *player* can play of *asked*, at the least loss, with a line for every change.

    *keep* and *leave_out* are indices of the groove's hits that must sound, or must not.
    """
    clock = clock_of(timeline)
    changes = Changes()
    wishes = take_apart(asked, player, clock)
    if leave_out or keep:
        wishes = _as_the_user_says(wishes, frozenset(keep), frozenset(leave_out), changes)
    hands = {}
    for hand in Hand:
        mine = merge_strokes([wish for wish in wishes if wish.hand is hand])
        mine = rock_chords(mine, player.speeds.key_hz, changes)
        hands[hand] = thin_repeats(mine, player, changes)
        end_at_next(hands[hand])
    left, right = clear_low_end(hands[Hand.LEFT], hands[Hand.RIGHT], changes, may_move=True)
    left.sort(key=lambda wish: (wish.tick, wish.pitch))
    right.sort(key=lambda wish: (wish.tick, wish.pitch))
    left, right = keep_apart(left, right, player, changes)
    left, left_gone = _settle_hand(left, right, player, Hand.LEFT, clock, timeline, changes)
    right, right_gone = _settle_hand(right, left, player, Hand.RIGHT, clock, timeline, changes)
    left, right = rescue(left, right, [*left_gone, *right_gone], player, changes)
    left = thin_repeats(left, player, changes, may_move=False)
    for done in (left, right):
        end_at_next(done)
    left, right = clear_low_end(left, right, changes, may_move=False)
    if keep:
        _refuse(keep, wishes, (*left, *right), changes)
    notes = sorted((wish.note() for wish in (*left, *right)), key=lambda note: note.order)
    return Settled(tuple(notes), changes.lines())


def _settle_hand(
    wishes: list[Wish],
    other: list[Wish],
    player: Player,
    hand: Hand,
    clock: Clock,
    timeline: Timeline,
    changes: Changes,
) -> tuple[list[Wish], list[tuple[Wish, str]]]:
    """Return what one hand plays of *wishes*, fingered, and what it had to drop and why."""
    costs = make_costs(player.size(hand), player.speeds)
    slices = cut_into_slices(wishes)
    opener = Opener(player, hand, costs, Neighbours(other), timeline)
    steps = Search(costs, [wish.worth for wish in wishes], opener).run(slices)
    return apply_steps(steps, slices, wishes, costs.model, timeline, clock, changes)


def _as_the_user_says(
    wishes: list[Wish], keep: frozenset[int], leave_out: frozenset[int], changes: Changes
) -> list[Wish]:
    """Return *wishes* without what the user leaves out, and with what the user keeps worth more than all else."""
    kept = []
    for wish in wishes:
        hits = frozenset(wish.hits)
        if hits & leave_out and not hits & keep:
            changes.add(wish, Change.LEFT_OUT, "as you asked")
            continue
        if hits & leave_out:
            changes.add(wish, Change.REFUSED, "you asked to keep it and to leave it out; kept")
        if hits & keep:
            wish.worth += KEPT_WORTH
        kept.append(wish)
    return kept


def _refuse(keep: Sequence[int], wishes: Sequence[Wish], done: Sequence[Wish], changes: Changes) -> None:
    """Note what the user wanted kept and no hand can play; what nobody asked for is for the asker to say."""
    played = {hit for wish in done for hit in wish.hits}
    reasons = {hit: line.reason for line in changes.lines() for hit in line.hits}
    for hit in keep:
        if hit in played:
            continue
        wish = next((wish for wish in wishes if hit in wish.hits), None)
        if wish is not None:
            changes.add(
                wish, Change.REFUSED, f"you asked to keep it, but {reasons.get(hit, 'no hand is free')}"
            )
