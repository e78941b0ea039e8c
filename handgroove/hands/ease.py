"""How much is asked of two hands, in five steps, each with all strokes of the one before.

Backbeat: the kick on 1 and the backbeats (or what the style has in their place), one chord a bar, held. Backbone: the
other kicks that come back, and the chords on accents. Cell: the light strokes between, what the drummer adds, and the
accents of figures. Whole: ghosts, doubles, graces, rolls and whole figures, as asked. Full: more (`fuller.py`). So a
teacher goes about it (common practice, no source); which step a stroke belongs to is asked of its importance.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from handgroove.groove.know.importance import MAIN, PILLAR
from handgroove.hands.reasons import name_role
from handgroove.part import Change, Note, Omission
from handgroove.strike import Asked, Hand, Role
from handgroove.timeline import Timeline

BACKBEAT, BACKBONE, CELL, WHOLE, FULL = 1, 2, 3, 4, 5

# The least importance with which a stroke belongs to a step: design choices.
BACKBONE_FROM: Mapping[Role, float] = {Role.KICK: 0.88, Role.COMPING: 0.75, Role.BASS: 0.75}
CELL_FROM: Mapping[Role, float] = {Role.KICK: MAIN, Role.SNARE: MAIN, Role.COLOUR: 0.58}
LONGEST_HOLD_TICKS = 1920  # of a figure's accent whose followers are left out


class Ease(StrEnum):
    """How much is to be played: a step by its name, or one step down or up from what is asked."""

    BACKBEAT = "backbeat"
    BACKBONE = "backbone"
    CELL = "cell"
    EASIER = "easier"
    WHOLE = "whole"
    AS_IS = "as is"
    FULL = "full"
    HARDER = "harder"

    @property
    def step(self) -> int:
        """Return the step, 1 (the backbeat alone) to 5 (all that hands can do)."""
        return _STEPS[self]


_STEPS = {
    Ease.BACKBEAT: BACKBEAT,
    Ease.BACKBONE: BACKBONE,
    Ease.CELL: CELL,
    Ease.EASIER: CELL,
    Ease.WHOLE: WHOLE,
    Ease.AS_IS: WHOLE,
    Ease.FULL: FULL,
    Ease.HARDER: FULL,
}
BY_STEP = (Ease.BACKBEAT, Ease.BACKBONE, Ease.CELL, Ease.AS_IS, Ease.FULL)


def find_hits(items: Iterable[Note | Asked]) -> frozenset[int]:
    """Return the hits (indices) that *items* stand for."""
    return frozenset(hit for item in items for hit in item.hits)


def find_steps(
    asked: Sequence[Asked], importance: Sequence[float], timeline: Timeline, changes: Sequence[int] = ()
) -> list[int]:
    """Return the step (1 to 4) from which on each of *asked* is played; *importance* is each hit's.

    *changes* are the written ticks, in order, at which the chord changes.
    """
    weights = [max((importance[hit] for hit in item.hits), default=item.strike.weight) for item in asked]
    steps = [_find_step(item, weight) for item, weight in zip(asked, weights, strict=True)]

    def bar_of(item: Asked) -> int:
        return timeline.bar_at(item.meant).start_tick

    chords: dict[tuple[int, int], tuple[float, int, int]] = {}
    figures: dict[int, list[int]] = {}
    for index, item in enumerate(asked):
        strike = item.strike
        if strike.role is Role.COMPING and not strike.grace:
            key = bar_of(item), bisect_right(changes, item.meant)
            rank = (len(strike.pitches) > 1) + weights[index], -item.meant, index
            chords[key] = max(rank, chords.get(key, rank))
        elif strike.role is Role.MELODY and not strike.grace:
            figures.setdefault(bar_of(item), []).append(index)
    for _, _, index in chords.values():
        steps[index] = BACKBEAT
    for indices in figures.values():
        _rank_figure(asked, indices, weights, steps)
    return steps


def _find_step(item: Asked, weight: float) -> int:
    """Return the step of one strike whose hit matters *weight*, by itself."""
    strike = item.strike
    role = strike.role
    if strike.grace or (strike.delay_ticks > 0 and role in {Role.SNARE, Role.COLOUR}):
        return WHOLE
    if weight >= PILLAR:
        return BACKBEAT
    is_light = role is Role.COMPING and len(strike.pitches) == 1
    if weight >= BACKBONE_FROM.get(role, PILLAR) and not is_light:
        return BACKBONE
    return CELL if weight >= CELL_FROM.get(role, 0.0) else WHOLE


def _rank_figure(
    asked: Sequence[Asked], indices: Sequence[int], weights: Sequence[float], steps: list[int]
) -> None:
    """Give the notes of a figure in one bar their steps: what matters more than the rest are its accents."""
    mean = sum(weights[index] for index in indices) / len(indices)
    begun: dict[tuple[int, ...], int] = {}
    for index in indices:
        item = asked[index]
        if item.hits and begun.setdefault(item.hits, item.tick) != item.tick:
            steps[index] = WHOLE  # a tremolo's later notes
        elif steps[index] > BACKBEAT:
            steps[index] = CELL if weights[index] >= mean else WHOLE


@dataclass(frozen=True, slots=True)
class Stepped:
    """All that is *asked* as it is, and the *steps* (1 to 4) from which on each strike is played."""

    asked: list[Asked]
    steps: list[int]

    def step_of(self, ease: Ease) -> int:
        """Return the step that *ease* means here: easier is the next one down that has less to play."""
        if ease is not Ease.EASIER:
            return ease.step
        return max(BACKBEAT, min(CELL, max(self.steps, default=WHOLE) - 1))

    def thin(self, step: int, timeline: Timeline) -> tuple[list[Asked], list[Omission]]:
        """Return what is asked at *step* (1 to 3), and a line for each strike that is not."""
        kept = [item for item, own in zip(self.asked, self.steps, strict=True) if own <= step]
        played = find_hits(kept)
        lines = []
        for item, own in zip(self.asked, self.steps, strict=True):
            if own > step and not (item.hits and played.issuperset(item.hits)):
                reason = f"{_reason(item, min(own - 1, CELL))}, to keep it easy"
                subject = name_role(item.strike.role)
                lines.append(
                    Omission(item.meant, Change.LEFT_OUT, subject, reason, item.strike.hand, item.hits)
                )
        return _held(kept, step, timeline), lines


def _reason(item: Asked, step: int) -> str:
    """Return what is left out at *step*, of which *item* is one."""
    strike, role = item.strike, item.strike.role
    if strike.grace:
        return "no grace notes"
    if role is Role.MELODY:
        return "figures simplified to their accents" if step == CELL else "no figures but their main beats"
    if strike.delay_ticks > 0:
        return "rolls as one note"
    whole, cell = {
        Role.KICK: ("no doubles and soft kicks", "no kicks but the backbone's"),
        Role.SNARE: ("no ghost notes and doubles", "no snares but the backbeats"),
        Role.COMPING: ("the lightest strokes left out", "light strokes between the chords left out"),
    }.get(role, ("no soft colour notes", "no colour notes"))
    if step == BACKBEAT:
        return "no kick but the one on 1" if role is Role.KICK else "one chord a bar, held"
    return whole if step == CELL else cell


def _held(kept: Sequence[Asked], step: int, timeline: Timeline) -> list[Asked]:
    """Return *kept* with figures' accents held over what is left out after them, and at the first step chords too."""
    held: list[Asked] = []
    after: dict[tuple[Hand, Role], int] = {}
    for item in sorted(kept, key=lambda item: -item.tick):
        strike = item.strike
        key = strike.hand, strike.role
        if strike.role is Role.MELODY and not strike.grace and key in after:
            held.append(_hold(item, min(after[key] - item.tick, LONGEST_HOLD_TICKS)))
        elif strike.role is Role.COMPING and step == BACKBEAT:
            held.append(_hold(item, timeline.bar_at(item.meant).end_tick - item.meant))
        else:
            held.append(item)
        after[key] = item.tick
    return held[::-1]


def _hold(item: Asked, ticks: int) -> Asked:
    """Return *item* held for *ticks*, if that is longer, or until its hand strikes again."""
    if ticks <= item.strike.hold_ticks:
        return item
    return replace(item, strike=replace(item.strike, hold_ticks=ticks, until_next=True))
