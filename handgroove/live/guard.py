"""What the engine needs of a hand guard: which keys to press now, which to let go, and what is left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from handgroove.part import Note, Omission
from handgroove.strike import Asked


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
