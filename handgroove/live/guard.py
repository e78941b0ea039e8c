"""What the engine needs of a hand guard: which keys to press now, which to let go, and what is left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from handgroove.part import Note, Omission
from handgroove.strike import Asked, Hand


@dataclass(frozen=True, slots=True)
class Pressed:
    """What the hands do at once: *notes* begin, the keys in *let_go* end, *omissions* say what is left out."""

    notes: tuple[Note, ...]
    let_go: tuple[int, ...] = ()
    omissions: tuple[Omission, ...] = ()


class HandGuard(Protocol):
    """Decides, strike by strike and without looking ahead, what two hands can play."""

    def take(self, asked: Sequence[Asked], tempo_bpm: float) -> Pressed:
        """Return what is done about strikes that are asked for now."""
        ...

    def reset(self) -> None:
        """Forget what is held: all notes were ended."""
        ...


class OpenHands:
    """Lets every strike through: hands without limits, for tests and for other instruments than a piano."""

    def __init__(self) -> None:
        self._until_next: dict[Hand, dict[int, int]] = {Hand.LEFT: {}, Hand.RIGHT: {}}

    def take(self, asked: Sequence[Asked], tempo_bpm: float) -> Pressed:
        """Return a note for each pitch that is asked for; notes that last until the next strike end with it."""
        notes: list[Note] = []
        let_go: list[int] = []
        for item in asked:
            strike = item.strike
            held = self._until_next[strike.hand]
            ending = [pitch for pitch, tick in held.items() if tick < item.tick]
            for pitch in ending:
                del held[pitch]
            let_go += ending
            for place, pitch in enumerate(strike.pitches):
                finger = strike.fingers[place] if strike.fingers else 0
                notes.append(
                    Note(
                        item.tick,
                        max(1, strike.hold_ticks),
                        pitch,
                        strike.velocity,
                        strike.hand,
                        strike.role,
                        finger,
                        item.hits,
                        strike.weight,
                        strike.grace,
                    )
                )
                if strike.until_next:
                    held[pitch] = item.tick
        return Pressed(tuple(notes), tuple(let_go))

    def reset(self) -> None:
        """Forget what is held: all notes were ended."""
        for held in self._until_next.values():
            held.clear()
