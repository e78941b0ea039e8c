"""What the engine needs of a hand guard: which keys to press now, which to let go, and what is left out."""

from __future__ import annotations

from typing import Protocol

from handgroove.hands.guard import Admission
from handgroove.strike import Hand, Strike


class HandGuard(Protocol):
    """Decides, strike by strike and without looking ahead, what two hands can play."""

    def admit(self, strike: Strike, now_sec: float, hold_sec: float, *, tick: int = 0) -> Admission:
        """Return what is done about *strike* at *now_sec*; *tick* dates omissions."""
        ...

    def release(self, hand: Hand, pitch: int, now_sec: float) -> None:
        """Note that *hand* lets *pitch* go at *now_sec*."""
        ...
