"""Fingering: which finger plays which note, the best over the whole passage by the hand model's cost.

A search from left to right over the gestures of each hand keeps the best ways so far (dynamic programming on the last
two fingerings), so its time is linear in the number of notes. Fingers that notes already have are kept. A passage
that no fingers can play gets the fingers that come nearest: telling it is the checker's work.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from handgroove.hands.finger_costs import Costs, Shape, make_costs
from handgroove.hands.hand_model import FIELDS
from handgroove.hands.player import Player
from handgroove.hands.search import Search
from handgroove.hands.slices import Slice, Step, Variant, as_asked, cut_into_slices
from handgroove.hands.targets import Target
from handgroove.hands.wishes import Clock, Wish, clock_of, end_at_next
from handgroove.part import Note
from handgroove.strike import Hand
from handgroove.timeline import Timeline

WIDE = 14  # fingerings have no losses to weigh, so a wide beam costs little
WIDEST, FAR_BACK = 160, 8  # where no way was found: all ways through the last strokes
UNTOUCHABLE = 100.0  # what a note is worth here: nothing may be let go early if it can be helped
FORCED = 100.0
_SPREAD = {1: (3,), 2: (1, 5), 3: (1, 3, 5), 4: (1, 2, 4, 5), 5: (1, 2, 3, 4, 5)}


class FingerSearch(Search):
    """A search that changes nothing: where no fingers do, it takes the nearest and goes on."""

    widths = (WIDE, WIDE, WIDEST)
    backs = (0, 0, FAR_BACK)

    def __init__(self, costs: Costs, count: int) -> None:
        super().__init__(costs, [UNTOUCHABLE] * count, lambda piece: (as_asked(piece),))

    def apart(self, step: Step, piece: Slice) -> object:
        """Return what keeps ways apart where none was found at first: which finger struck when."""
        since = piece.wishes[0].sec - self.model.rock_sec - 0.1
        return tuple([onset if onset > since else 0.0 for onset in step.memory[::FIELDS]])

    def target(self, variant: Variant, stage: int, index: int) -> Target:
        """Return the keys of *variant* with the fingerings that keep to the fingers that are given."""
        return super().target(variant, 0, index)

    def next_stage(self, piece: Slice) -> int:
        """Return how far to open a slice: all the way, since nothing can change but the way to it."""
        return 2

    def stuck(self, beam: list[Step], piece: Slice) -> Step:
        """Return a step that plays *piece* with the fingers that come nearest."""
        variant = piece.variants[0]
        sounds = variant.sounds
        if len(sounds) > 5:
            sounds = (*sounds[:2], *sounds[-3:])
            variant = Variant(sounds)
        target = self.target(variant, 0, 0)
        if not target.shapes:
            asked = zip(sounds, _SPREAD[len(sounds)], strict=True)
            shape = Shape(0.0, tuple(sound.finger or spread for sound, spread in asked), 0.0)
            target = Target(self.costs, variant.views, (shape,))
        step = min(beam, key=lambda step: step.cost)
        shape = self.options([step], variant, target)[0][-1]
        new = self.settle_step(step, variant, shape, step.memory.copy(), step.cost + FORCED)
        for sound, finger in zip(sounds, shape.fingers, strict=True):
            own = (finger - 1) * FIELDS
            new.memory[own : own + FIELDS] = (sound.sec, sound.view, sound.end_sec, sound.note)
        return new


def finger(notes: Sequence[Note], player: Player, timeline: Timeline) -> tuple[Note, ...]:
    """Return *notes*, in order, each with the finger that suits it best; fingers that are given stay."""
    clock = clock_of(timeline)
    done: list[Note] = []
    for hand in Hand:
        mine = sorted((note for note in notes if note.hand is hand), key=lambda note: note.order)
        fingers = find_fingers(mine, player, hand, clock)
        done.extend(
            note if note.finger == finger else replace(note, finger=finger)
            for note, finger in zip(mine, fingers, strict=True)
        )
    done.sort(key=lambda note: note.order)
    return tuple(done)


def find_fingers(notes: Sequence[Note], player: Player, hand: Hand, clock: Clock) -> list[int]:
    """Return a finger for each of one hand's *notes* (in order); 0 for what is over five in one gesture."""
    steps = find_steps(notes, player, hand, clock)
    fingers = [note.finger for note in notes]
    for step in steps:
        for sound, found in zip(step.variant.sounds, step.fingers, strict=False):
            fingers[sound.note] = found
    return fingers


def find_steps(notes: Sequence[Note], player: Player, hand: Hand, clock: Clock) -> list[Step]:
    """Return the search's best way through one hand's *notes* (in order), step by step."""
    if not notes:
        return []
    costs = make_costs(player.size(hand), player.speeds)
    wishes = [as_wish(note, clock) for note in notes]
    end_at_next(wishes)
    return FingerSearch(costs, len(wishes)).run(cut_into_slices(wishes))


def as_wish(note: Note, clock: Clock) -> Wish:
    """Return a settled note as a wish again."""
    wish = Wish(
        note.tick, note.end_tick, note.pitch, note.velocity, note.hand, note.role, note.finger,
        note.hits, note.weight, note.grace,
    )  # fmt: skip
    wish.sec, wish.end_sec = clock(note.tick), clock(note.end_tick)
    return wish
