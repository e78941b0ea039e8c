"""Slices: what one hand is asked in one gesture, the ways to play it, and how far a search has come through them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import inf
from typing import NamedTuple

from handgroove.hands.hand_model import TOGETHER_SEC, Memory, Obstacle
from handgroove.hands.targets import Posture
from handgroove.hands.wishes import Wish


class Sound(NamedTuple):
    """One key of a variant: *note* (the wish's index), where and when it is struck, and the finger asked for."""

    note: int
    view: int
    sec: float
    end_sec: float
    finger: int


class Variant(NamedTuple):
    """One way to play a slice: its *sounds* by pitch (right-hand view), what is lost, and what was done (*change*)."""

    sounds: tuple[Sound, ...]
    loss: float = 0.0
    change: str = ""
    touched: tuple[int, ...] = ()

    @property
    def views(self) -> tuple[int, ...]:
        """Return the pitches, low to high."""
        return tuple([sound.view for sound in self.sounds])

    @property
    def order(self) -> Sequence[int]:
        """Return the places of the sounds by time, low to high within a moment."""
        sounds = self.sounds
        places = range(len(sounds))
        if len({sound.sec for sound in sounds}) > 1:
            return sorted(places, key=lambda place: (sounds[place].sec, sounds[place].view))
        return places


NOTHING = Variant(())


class Step:
    """A way to have played up to a slice; *end_sec* is when its last gesture's lowest note ends."""

    __slots__ = ("back", "cost", "cuts", "end_sec", "fingers", "index", "memory", "posture", "variant")

    def __init__(
        self,
        memory: Memory,
        back: Step | None,
        variant: Variant,
        fingers: tuple[int, ...] = (),
        posture: Posture = None,
        end_sec: float = inf,
        cost: float = 0.0,
        cuts: tuple[tuple[int, float], ...] = (),
    ) -> None:
        self.memory, self.back, self.variant, self.fingers = memory, back, variant, fingers
        self.posture, self.end_sec, self.cost, self.cuts = posture, end_sec, cost, cuts
        self.index = 0  # of the variant in its slice


@dataclass(slots=True)
class Slice:
    """What one hand is asked in one gesture."""

    wishes: list[Wish]
    first: int
    obstacle: Obstacle = Obstacle.NONE
    stage: int = 0
    variants: tuple[Variant, ...] = field(default=())


def cut_into_slices(wishes: Sequence[Wish]) -> list[Slice]:
    """Return *wishes* (in order of time) by gestures."""
    slices: list[Slice] = []
    limit = -1e9
    for index, wish in enumerate(wishes):
        if wish.sec > limit:
            slices.append(Slice([wish], index))
            limit = wish.sec + TOGETHER_SEC
        else:
            slices[-1].wishes.append(wish)
    return slices


def as_asked(piece: Slice) -> Variant:
    """Return the variant that changes nothing."""
    note = piece.first
    if len(piece.wishes) == 1:
        (wish,) = piece.wishes
        return Variant((Sound(note, wish.view, wish.sec, wish.end_sec, wish.finger),))
    sounds = [
        Sound(number, wish.view, wish.sec, wish.end_sec, wish.finger)
        for number, wish in enumerate(piece.wishes, note)
    ]
    if len(sounds) > 1:
        sounds.sort(key=lambda sound: (sound.view, sound.sec))
    return Variant(tuple(sounds))
