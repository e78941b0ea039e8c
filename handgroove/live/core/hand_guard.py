"""What the engine needs of a hand guard: which keys to press now, which to let go, and what is left out."""

from __future__ import annotations

from typing import Protocol

from handgroove.hands.guard import Admission, Press
from handgroove.strike import Hand, Strike


class HandGuard(Protocol):
    """Decides, strike by strike and without looking ahead, what two hands can play."""

    def admit(self, strike: Strike, now_sec: float, hold_sec: float, *, tick: int = 0) -> Admission:
        """Return what is done about *strike* at *now_sec*; *tick* dates omissions."""
        ...

    def release(self, hand: Hand, pitch: int, now_sec: float) -> None:
        """Note that *hand* lets *pitch* go at *now_sec*."""
        ...


class OpenHands:
    """Lets every strike through: hands without limits, for tests and for other instruments than a piano."""

    def __init__(self) -> None:
        self._until_next: dict[Hand, dict[int, float]] = {Hand.LEFT: {}, Hand.RIGHT: {}}

    def admit(self, strike: Strike, now_sec: float, hold_sec: float, *, tick: int = 0) -> Admission:
        """Return a key for each pitch that is asked for; notes that last until the next strike end with it."""
        held = self._until_next[strike.hand]
        ending = [pitch for pitch, sec in held.items() if now_sec - sec > 0.03]
        for pitch in ending:
            del held[pitch]
        if strike.until_next:
            held.update(dict.fromkeys(strike.pitches, now_sec))
        fingers = strike.fingers or (0,) * len(strike.pitches)
        presses = tuple(
            Press(pitch, strike.velocity, strike.hand, finger, now_sec + hold_sec)
            for pitch, finger in zip(strike.pitches, fingers, strict=True)
        )
        return Admission(presses, tuple((strike.hand, pitch) for pitch in ending))

    def release(self, hand: Hand, pitch: int, now_sec: float) -> None:
        """Note that *hand* lets *pitch* go."""
        self._until_next[hand].pop(pitch, None)
