"""The search for what one hand plays: fingers, and where not all can be played, what goes, at the least loss.

The passage is cut into slices (one gesture each). Going from left to right a beam of steps is kept, each a way to have
played so far; a slice that some step can play as asked costs no thought. Where none can, the slices just before it are
opened: all their variants (thinned, moved, rolled, left out) are tried in their full breadth, and the search goes on
from there. Each slice is opened once at most, so the time is linear in the number of notes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from operator import attrgetter

from handgroove.hands.finger_costs import Costs, Shape
from handgroove.hands.hand_model import (
    END,
    EPS,
    FIELDS,
    NONE,
    NOTE,
    ONSET,
    REACH,
    REPEAT,
    Memory,
    Obstacle,
    fresh_memory,
)
from handgroove.hands.slices import NOTHING, Slice, Step, Variant, as_asked
from handgroove.hands.targets import Posture, Target, find_target

WIDTHS = (4, 6, 6)  # of the beam, by stage of opening; when fully open, for each variant
BACKS = (0, 1, 2)  # how many slices before a conflict are opened with it, by stage
RESTED = 0.25  # share of a move's cost that's left after a rest
LOSS = 30.0  # of ergonomic cost that one unit of worth outweighs
REFINGER = 0.3  # worth that is lost with each asked finger that is not used
CUT = 0.05  # share of a note's worth that is lost when it is let go early, and as much again in proportion
IDLE_SEC = 0.5  # after a rest this long, the hand may come from anywhere


_FORGOTTEN: Memory = []
Opener = Callable[[Slice], Sequence[Variant]]
Option = tuple[float, int, Step, Shape]


class Search:
    """Finds one hand's way through its slices; *open_slice* gives a slice's variants when it has to be opened.

    Opening goes in two stages: first other fingers than those asked for, then the variants.
    """

    widths = WIDTHS
    backs = BACKS

    def __init__(self, costs: Costs, worths: Sequence[float], open_slice: Opener) -> None:
        self.costs, self.model, self.worths, self.open_slice = costs, costs.model, worths, open_slice

    def run(self, slices: Sequence[Slice]) -> list[Step]:
        """Return the best way found: one step for each slice."""
        beams = [[Step(fresh_memory(), None, NOTHING)]]
        at = 0
        while at < len(slices):
            piece = slices[at]
            beam = self._expand(beams[at], piece)
            if not beam and piece.stage == 2:
                beam = [self.stuck(beams[at], piece)]
            if beam:
                beams.append(beam)
                at += 1
                self._forget(beams, at - max(self.backs) - 1)
            else:
                at = self._open(slices, at, self.next_stage(piece))
                del beams[at + 1 :]
        return self._trace(beams[-1])

    def next_stage(self, piece: Slice) -> int:
        """Return how far to open a slice that can't be played: other fingers first, if any were asked for."""
        return 1 if piece.stage == 0 and any(wish.finger for wish in piece.wishes) else 2

    def _forget(self, beams: list[list[Step]], at: int) -> None:
        """Let go of a beam that the search can't come back to; what led on from it stays linked."""
        if at > 0:
            for step in beams[at]:
                step.memory = _FORGOTTEN
            beams[at] = []

    def _open(self, slices: Sequence[Slice], at: int, stage: int) -> int:
        """Open the slice at *at*, and those just before it, to *stage*; return the first that was opened."""
        first = at
        for index in range(max(0, at - self.backs[stage]), at + 1):
            piece = slices[index]
            if piece.stage < stage:
                piece.stage = stage
                piece.variants = tuple(self.open_slice(piece)) if stage == 2 else (as_asked(piece),)
                first = min(first, index)
        return first

    def stuck(self, beam: list[Step], piece: Slice) -> Step:
        """Return the step over a slice that can't be played even when opened; leaving all out always can."""
        raise AssertionError("an opened slice can be left out")

    def _trace(self, beam: list[Step]) -> list[Step]:
        step: Step | None = beam[0]
        steps = []
        while step is not None and step.back is not None:
            steps.append(step)
            step = step.back
        steps.reverse()
        return steps

    def _expand(self, beam: list[Step], piece: Slice) -> list[Step]:
        """Return the best steps over *piece*, cheapest first; none if it can't be played.

        In a fully opened slice each variant has its own places in the beam, so that what is lost now to gain later
        isn't crowded out.
        """
        if not piece.variants:
            piece.variants = (as_asked(piece),)
        width = self.widths[piece.stage]
        found: list[Step] = []
        for index, variant in enumerate(piece.variants):
            options = self.options(beam, variant, self.target(variant, piece.stage, index))
            found += self._best(options, piece, index, variant, width)
        if len(found) > 1:
            found.sort(key=attrgetter("cost"))
        return found

    def options(self, beam: Sequence[Step], variant: Variant, target: Target) -> list[Option]:
        """Return every way to go on from *beam* to *target*, cheapest first; of equal ones the first shape's."""
        sounds, shapes, count = variant.sounds, target.shapes, len(beam)
        sec, loss = sounds[0].sec if sounds else 0.0, variant.loss * LOSS
        options: list[Option] = []
        add = options.append
        for place, step in enumerate(beam):
            base, number = step.cost + loss, place
            share = RESTED if sec - step.end_sec > IDLE_SEC else 1.0
            for shape, move in zip(shapes, target.moves_from(step.posture)):  # noqa: B905 - one for each
                add((base + shape[0] + move * share, number, step, shape))
                number += count
        if len(options) > 1:
            options.sort()
        return options

    def _best(
        self, options: Iterable[Option], piece: Slice, index: int, variant: Variant, width: int
    ) -> list[Step]:
        """Return the cheapest *width* of *options* that can be played, apart from each other.

        In a slice as asked, those are ways to other fingers, or from another single finger to a single one.
        """
        seen = set()
        found: list[Step] = []
        sounds, stage = variant.sounds, piece.stage
        is_single = len(sounds) == 1
        place, order = (self._place_one, (0,)) if is_single else (self._place, variant.order)
        rested_sec = sounds[0].sec - self.model.repeat_sec + EPS if is_single else 0.0
        for total, _, step, shape in options:
            # Most of what fails is a finger that has just struck, so that is looked at before all else.
            if is_single and step.memory[(shape.fingers[0] - 1) * FIELDS + ONSET] > rested_sec:
                piece.obstacle = piece.obstacle or REPEAT
                continue
            before: object = ()
            if stage:
                before = self.apart(step, piece)
            elif is_single and len(step.fingers) == 1:
                before = step.fingers
            key = (shape.fingers, before)
            if key in seen:
                continue
            new = place(step, variant, shape, order, total)
            if isinstance(new, Obstacle):
                piece.obstacle = piece.obstacle or new
                continue
            new.index = index
            seen.add(key)
            found.append(new)
            if len(found) == width:
                break
        return found

    def apart(self, step: Step, piece: Slice) -> object:
        """Return what of *step* keeps ways apart that reach an opened *piece* with the same fingers."""
        return (step.fingers, step.index)

    def target(self, variant: Variant, stage: int, index: int) -> Target:
        """Return the keys of *variant* with the fingerings to try; in an opened slice also others than asked for."""
        sounds = variant.sounds
        views, asked = tuple([sound.view for sound in sounds]), tuple([sound.finger for sound in sounds])
        return find_target(self.costs, views, asked, REFINGER * LOSS if stage else 0.0, index > 0)

    def _place_one(
        self, step: Step, variant: Variant, shape: Shape, order: Sequence[int], total: float
    ) -> Step | Obstacle:
        """Do what `_place` does with a single sound, mostly with nothing in its way, in half the time."""
        (note, view, sec, end_sec, _), (finger,), last = variant.sounds[0], shape.fingers, step.posture
        obstacle = self.model.obstacle(step.memory, finger, view, sec)
        if obstacle is not NONE:
            return obstacle if obstacle > REACH else self._place(step, variant, shape, order, total)
        memory, own = step.memory.copy(), (finger - 1) * FIELDS
        memory[own : own + FIELDS] = (sec, view, end_sec, note)
        posture = (finger, view, last[:2] if isinstance(last, tuple) else None)
        return Step(memory, step, variant, shape.fingers, posture, end_sec, total)

    def _place(
        self, step: Step, variant: Variant, shape: Shape, order: Sequence[int], total: float
    ) -> Step | Obstacle:
        """Return the step that plays *variant* with *shape* after *step* for *total*, or what stands in its way."""
        sounds, fingers = variant.sounds, shape.fingers
        memory, find_obstacle = step.memory, self.model.obstacle
        cuts: list[tuple[int, float]] = []
        cost = 0.0
        for place in order:
            sound, finger = sounds[place], fingers[place]
            view, sec = sound.view, sound.sec
            obstacle = find_obstacle(memory, finger, view, sec)
            if memory is step.memory:
                if obstacle is not NONE and obstacle > REACH:
                    return obstacle
                memory = memory.copy()
            while obstacle is not NONE:
                at = self.model.in_the_way(memory, finger, view, sec) if obstacle <= REACH else -1
                if at < 0:
                    return obstacle
                cuts.append((int(memory[at + NOTE]), sec))
                cost += self._cut_cost(memory, at, sec)
                memory[at + END] = sec
                obstacle = find_obstacle(memory, finger, view, sec)
            own = (finger - 1) * FIELDS
            memory[own : own + FIELDS] = (sec, view, sound.end_sec, sound.note)
        return self.settle_step(step, variant, shape, memory, cost + total, tuple(cuts))

    def settle_step(
        self,
        step: Step,
        variant: Variant,
        shape: Shape,
        memory: Memory,
        cost: float,
        cuts: tuple[tuple[int, float], ...] = (),
    ) -> Step:
        """Return the step after *step* that plays *variant* with *shape* and leaves the hand in *memory*."""
        fingers = shape.fingers
        if not fingers:
            return Step(memory, step, variant, step.fingers, step.posture, step.end_sec, cost, cuts)
        low = variant.sounds[0]
        posture: Posture
        if len(fingers) > 1:
            posture = low.view + shape.position
        else:
            last = step.posture
            posture = (fingers[0], low.view, last[:2] if isinstance(last, tuple) else None)
        return Step(memory, step, variant, fingers, posture, low.end_sec, cost, cuts)

    def _cut_cost(self, memory: Memory, at: int, sec: float) -> float:
        """Return the cost of letting a held note go at *sec*."""
        onset, end = memory[at + ONSET], memory[at + END]
        share = (end - sec) / (end - onset) if end > onset else 0.0
        return self.worths[int(memory[at + NOTE])] * CUT * (1 + share) * LOSS
