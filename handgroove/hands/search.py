"""The search for what one hand plays: fingers, and where not all can be played, what goes, at the least loss.

The passage is cut into slices (one gesture each). Going from left to right a beam of steps is kept, each a way to have
played so far; a slice that some step can play as asked costs no thought. Where none can, the slices just before it are
opened: all their variants (thinned, moved, rolled, left out) are tried in their full breadth, and the search goes on
from there. Each slice is opened once at most, so the time is linear in the number of notes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from handgroove.hands.finger_costs import Costs, Shape
from handgroove.hands.hand_model import (
    END,
    FIELDS,
    NOTE,
    ONSET,
    Memory,
    Obstacle,
    fresh_memory,
)
from handgroove.hands.slices import Slice, Sound, Step, Variant, as_asked

WIDTHS = (4, 6, 2)  # of the beam, by stage of opening; when fully open, for each variant
BACKS = (0, 1, 2)  # how many slices before a conflict are opened with it, by stage
CHANGED_SHAPES = 3  # fingerings tried of a variant that changes something
POSITION, POSITION_MOST = 0.8, 16.0  # what a semitone that the hand shifts costs, and any shift at most
RESTED = 0.25  # share of a move's cost that's left after a rest
NO_FINGERS = (0,) * 16
LOSS = 30.0  # of ergonomic cost that one unit of worth outweighs
REFINGER = 0.3  # worth that is lost with each asked finger that is not used
CUT = 0.05  # share of a note's worth that is lost when it is let go early, and as much again in proportion
IDLE_SEC = 0.5  # after a rest this long, the hand may come from anywhere


Opener = Callable[[Slice], Sequence[Variant]]


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
        beams = [[Step(fresh_memory())]]
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
                step.memory = []
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
            options: list[tuple[float, int, Step, Shape]] = []
            for shape in self.shapes(variant, piece.stage, index):
                base = variant.loss * LOSS + shape.cost
                for step, cost in zip(beam, self.moves(beam, variant.sounds, shape), strict=False):
                    options.append((base + step.cost + cost, len(options), step, shape))
            if len(options) > 1:
                options.sort()
            found += self._best(options, piece, index, variant, width)
        if len(found) > 1:
            found.sort(key=lambda step: step.cost)
        return found

    def _best(
        self,
        options: list[tuple[float, int, Step, Shape]],
        piece: Slice,
        index: int,
        variant: Variant,
        width: int,
    ) -> list[Step]:
        """Return the cheapest *width* of *options* that can be played."""
        seen = set()
        found: list[Step] = []
        for total, _, step, shape in options:
            key = (shape.fingers, self.apart(step, shape, piece))
            if key in seen:
                continue
            new = self._place(step, variant, shape)
            if isinstance(new, Obstacle):
                piece.obstacle = piece.obstacle or new
                continue
            new.cost += total
            new.index = index
            seen.add(key)
            found.append(new)
            if len(found) == width:
                break
        return found

    def apart(self, step: Step, shape: Shape, piece: Slice) -> object:
        """Return what of *step* keeps its way apart from others to the same fingers: the finger before, mostly."""
        if piece.stage:
            return (step.fingers, step.index)
        return step.fingers if len(shape.fingers) == 1 == len(step.fingers) else ()

    def shapes(self, variant: Variant, stage: int, index: int) -> Sequence[Shape]:
        """Return the fingerings to try; in an opened slice also others than those asked for, at a loss."""
        sounds = variant.sounds
        if not sounds:
            return (Shape(0.0, (), 0.0),)
        asked = tuple([sound.finger for sound in sounds])
        views = tuple([sound.view for sound in sounds])
        if not stage or not any(asked):
            return self.costs.shapes(views, asked)
        shapes = list(self.costs.shapes(views, asked))
        for shape in self.costs.shapes(views, NO_FINGERS[: len(asked)]):
            wrong = sum([1 for want, got in zip(asked, shape.fingers, strict=False) if want and want != got])
            if wrong:
                shapes.append(Shape(shape.cost + wrong * REFINGER * LOSS, shape.fingers, shape.position))
        return shapes if index == 0 else shapes[:CHANGED_SHAPES]

    def moves(self, beam: Sequence[Step], sounds: tuple[Sound, ...], shape: Shape) -> list[float]:
        """Return what it costs to get from each step of *beam* to *shape*: by the rules from note to note, else by
        position."""
        fingers = shape.fingers
        if not fingers:
            return [0.0] * len(beam)
        costs, single = self.costs, len(fingers) == 1
        view, sec = sounds[0].view, sounds[0].sec
        place, finger = view + shape.position, fingers[0]
        found = []
        for step in beam:
            last = step.last
            if not last:
                found.append(costs.start(finger, view) if single else 0.0)
                continue
            if single and len(last) == 1:
                cost = costs.way(step.before, step.fingers[0], last[0].view, finger, view)
            else:
                cost = abs(place - step.position) * POSITION
                cost = min(cost, POSITION_MOST)
            found.append(cost * RESTED if sec - last[0].end_sec > IDLE_SEC else cost)
        return found

    def _place(self, step: Step, variant: Variant, shape: Shape) -> Step | Obstacle:
        """Return the step that plays *variant* with *shape* after *step*, or what stands in its way."""
        sounds, fingers = variant.sounds, shape.fingers
        memory = step.memory.copy()
        cuts: list[tuple[int, float]] = []
        cost = 0.0
        order: Sequence[int] = range(len(sounds))
        if len(sounds) > 1 and any(sound.sec != sounds[0].sec for sound in sounds):
            order = sorted(order, key=lambda i: (sounds[i].sec, sounds[i].view))
        for place in order:
            sound, finger = sounds[place], fingers[place]
            obstacle = self.model.obstacle(memory, finger, sound.view, sound.sec)
            while obstacle:
                if obstacle > Obstacle.REACH:
                    return obstacle
                at = self.model.in_the_way(memory, finger, sound.view, sound.sec)
                if at < 0:
                    return obstacle
                cuts.append((int(memory[at + NOTE]), sound.sec))
                cost += self._cut_cost(memory, at, sound.sec)
                memory[at + END] = sound.sec
                obstacle = self.model.obstacle(memory, finger, sound.view, sound.sec)
            own = (finger - 1) * FIELDS
            memory[own : own + FIELDS] = (sound.sec, sound.view, sound.end_sec, sound.note)
        new = self.settle_step(step, variant, shape, memory)
        new.cost, new.cuts = cost, tuple(cuts)
        return new

    def settle_step(self, step: Step, variant: Variant, shape: Shape, memory: Memory) -> Step:
        """Return the step after *step* that plays *variant* with *shape* and leaves the hand in *memory*."""
        new = Step(memory)
        new.fingers, new.variant, new.back = shape.fingers, variant, step
        sounds, fingers = variant.sounds, shape.fingers
        if fingers:
            new.position, new.last = sounds[0].view + shape.position, sounds
            if len(fingers) == 1 and len(step.fingers) == 1:
                new.before = (step.fingers[0], step.last[0].view)
        else:
            new.position, new.last = step.position, step.last
            new.fingers, new.before = step.fingers, step.before
        return new

    def _cut_cost(self, memory: Memory, at: int, sec: float) -> float:
        """Return the cost of letting a held note go at *sec*."""
        onset, end = memory[at + ONSET], memory[at + END]
        share = (end - sec) / (end - onset) if end > onset else 0.0
        return self.worths[int(memory[at + NOTE])] * CUT * (1 + share) * LOSS
