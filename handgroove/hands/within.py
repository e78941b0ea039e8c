"""Settling one step of ease within another: the fuller has every stroke that sounds in the plainer.

A plainer step is asked only what sounds in the one above it. The fullest gives up what it added wherever a stroke of
the step below would be lost for it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from handgroove.hands.ease import find_hits
from handgroove.hands.reasons import name_role
from handgroove.hands.settle import Settled
from handgroove.part import Change, Omission
from handgroove.strike import Asked

NEAR_TICKS = 480  # so near a stroke that would be lost additions go, then twice as near, and so on

Settle = Callable[[Sequence[Asked]], Settled]


def settle_within(settle: Settle, asked: Sequence[Asked], above: Settled) -> Settled:
    """Return *asked* settled, but for what does not sound in the step *above*, with that step's lines for it."""
    sounding = find_hits(above.notes)
    within = []
    for item in asked:
        hits = tuple(hit for hit in item.hits if hit in sounding)
        if hits or not item.hits:
            within.append(item if hits == item.hits else replace(item, hits=hits))
    silent = find_hits(asked) - sounding
    told = [line for line in above.omissions if not silent.isdisjoint(line.hits)]
    settled = settle(within)
    lines = sorted({*told, *settled.omissions}, key=lambda line: (line.tick, line.hand or "", line.subject))
    return Settled(settled.notes, tuple(lines))


def settle_over(settle: Settle, asked: Sequence[Asked], added: Sequence[Asked], below: Settled) -> Settled:
    """Return *asked* settled with as much of what is *added* as leaves all sounding that sounds in the step *below*."""
    sounding = find_hits(below.notes)
    ticks = {hit: item.tick for item in asked for hit in item.hits}
    given_up: list[Omission] = []
    near = NEAR_TICKS
    while added:
        settled = settle([*asked, *added])
        lost = [ticks[hit] for hit in sounding - find_hits(settled.notes)]
        if not lost:
            return Settled(settled.notes, (*settled.omissions, *given_up))
        near = max(near, min(abs(item.tick - tick) for item in added for tick in lost))
        gone = [any(abs(item.tick - tick) <= near for tick in lost) for item in added]
        given_up += [_line(item) for item, is_gone in zip(added, gone, strict=True) if is_gone]
        added = [item for item, is_gone in zip(added, gone, strict=True) if not is_gone]
        near *= 2
    return Settled(below.notes, (*below.omissions, *given_up))


def _line(item: Asked) -> Omission:
    reason = "what is added gives way to the strokes beside it"
    return Omission(
        item.meant, Change.LEFT_OUT, name_role(item.strike.role), reason, item.strike.hand, item.hits
    )
