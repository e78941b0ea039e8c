"""What a search found, applied: wishes get their fingers and changes, and every change its line."""

from __future__ import annotations

from collections.abc import Sequence

from handgroove.hands.change_lines import Changes
from handgroove.hands.hand_model import MIRROR, HandModel
from handgroove.hands.reasons import FINGERS, explain
from handgroove.hands.search import BACKS
from handgroove.hands.slices import Slice, Step
from handgroove.hands.wishes import Clock, Wish
from handgroove.part import Change
from handgroove.strike import Hand
from handgroove.timeline import Timeline


def apply_steps(
    steps: Sequence[Step],
    slices: Sequence[Slice],
    wishes: Sequence[Wish],
    model: HandModel,
    timeline: Timeline,
    clock: Clock,
    changes: Changes,
) -> tuple[list[Wish], list[tuple[Wish, str]]]:
    """Return the wishes that are played and those that are not, each with the reason."""
    played: list[Wish] = []
    gone: list[tuple[Wish, str]] = []
    for at, step in enumerate(steps):
        for note, sec in step.cuts:
            tick = _tick_at(sec, slices[at], timeline)
            changes.shorten(wishes[note], tick, sec, "the hand is needed elsewhere")
        variant = step.variant
        reason = _reason(at, slices, wishes, model) if slices[at].stage else ""
        for sound, finger in zip(variant.sounds, step.fingers, strict=False):
            wish = wishes[sound.note]
            moved = variant.change and sound.note in variant.touched  # has its own line
            if wish.finger and wish.finger != finger and not moved:
                changes.add(wish, Change.REFINGERED, f"{reason}; moved to the {FINGERS[finger]}")
            wish.finger = finger
            played.append(wish)
        if variant.change == "left out":
            gone.extend((wishes[note], reason) for note in variant.touched)
        elif variant.change == "rolled":
            _roll(step, wishes, timeline, clock, reason, changes)
        elif variant.change:
            _move(step, wishes, reason, changes)
    played.sort(key=lambda wish: (wish.tick, wish.pitch))
    return played, gone


def _tick_at(sec: float, piece: Slice, timeline: Timeline) -> int:
    """Return the tick of a stroke at *sec* seconds: a wish's own where there's one, so that nothing is rounded."""
    for wish in piece.wishes:
        if wish.sec == sec:
            return wish.tick
    return timeline.sec_to_tick(sec)


def _reason(at: int, slices: Sequence[Slice], wishes: Sequence[Wish], model: HandModel) -> str:
    """Return why the slice at *at* was opened: its own obstacle, or that of the slice that came after it."""
    for piece in slices[at : at + BACKS[2] + 1]:
        if piece.obstacle:
            return explain(piece.obstacle, wishes, piece.first, len(piece.wishes), model)
    piece = slices[at]
    return explain(piece.obstacle, wishes, piece.first, len(piece.wishes), model)


def _roll(
    step: Step, wishes: Sequence[Wish], timeline: Timeline, clock: Clock, reason: str, changes: Changes
) -> None:
    """Shift the upper notes of a rolled chord and let the low one go as they're struck."""
    *upper, low = step.variant.touched
    later = next(sound.sec for sound in step.variant.sounds if sound.note == upper[0])
    tick = timeline.sec_to_tick(later)  # a whole tick already
    changes.add(wishes[low], Change.ROLLED, f"{reason}; rolled upwards")
    wishes[low].end_at(tick, clock(tick))
    for note in upper:
        wishes[note].tick, wishes[note].sec = tick, clock(tick)


def _move(step: Step, wishes: Sequence[Wish], reason: str, changes: Changes) -> None:
    """Move a note by the octave that the variant says."""
    (note,) = step.variant.touched
    wish = wishes[note]
    wish.view = next(sound.view for sound in step.variant.sounds if sound.note == note)
    wish.pitch = wish.view if wish.hand is Hand.RIGHT else MIRROR - wish.view
    changes.add(wish, Change.MOVED, f"{reason}; moved {step.variant.change} an octave")
