"""What stands in for the world in tests: time that is moved by hand, and hands without limits."""

from __future__ import annotations

from handgroove.hands.guard import Admission, Guard, Press
from handgroove.hands.player import Player
from handgroove.strike import Hand, Strike


class PretendedClock:
    """A clock for tests: it stands still until it is moved, and waiting moves it."""

    def __init__(self, start_sec: float = 0.0) -> None:
        self._now_sec = start_sec

    def now(self) -> float:
        """Return the pretended seconds."""
        return self._now_sec

    def wait_until(self, deadline_sec: float) -> None:
        """Jump to *deadline_sec*; time never runs backwards."""
        self._now_sec = max(self._now_sec, deadline_sec)

    def rest(self, seconds: float) -> None:
        """Jump on by *seconds*."""
        self._now_sec += seconds

    def busy_sec(self) -> float:
        """Return the pretended seconds: a pretended thread is never kept waiting."""
        return self._now_sec


class OpenHands(Guard):
    """Lets every strike through: hands without limits, for tests and for other instruments than a piano."""

    def __init__(self) -> None:
        super().__init__(Player())
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
