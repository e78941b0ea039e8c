"""How the drummer at the pads is heard: where each stroke was meant, and which strokes are one movement."""

from __future__ import annotations

from math import inf

from handgroove.groove.hits import Hit
from handgroove.groove.kit import Family, Piece
from handgroove.groove.meant.causal import CausalReading
from handgroove.groove.meant.gestures import FLAM_SEC
from handgroove.live.core.conductor import Conductor
from handgroove.live.core.programme import Programme

MAIN_LOUDER = 1.4  # times its grace: left out, such a stroke would be missed (design choice)
_HAS_FLAMS = frozenset({Family.KICK, Family.SNARE, Family.TOM, Family.HAND})


class Drummer:
    """Listens along the *conductor*'s beat and the grid of what is on in the *programme*."""

    def __init__(self, conductor: Conductor, programme: Programme) -> None:
        self._conductor, self._programme = conductor, programme
        self._reading = CausalReading()
        self._last_tick = -(10**9)
        self._struck: dict[Piece, tuple[float, int]] = {}  # when each drum was last struck, and how hard

    def forget(self) -> None:
        """Forget how the drummer leans: the position has jumped."""
        self._last_tick = -(10**9)
        self._reading.forget()

    @property
    def lean_sec(self) -> float:
        """Return by how much the drummer is behind the beat just now (negative: before it)."""
        return self._reading.lean_sec

    def tick_at(self, sec: float) -> int:
        """Return the position at *sec*; it never runs back."""
        return max(self._conductor.tick_at(sec), self._last_tick)

    def go_on(self, tick: int) -> None:
        """Note that the music has come to *tick*."""
        self._last_tick = tick

    def place(self, tick: int) -> int:
        """Return the written tick that a stroke at *tick* means, and learn from it."""
        pattern = self._programme.pattern
        return self._reading.take(tick, self._conductor.timeline, pattern.feel, pattern.steps_per_beat)

    def nearest(self, sec: float) -> int:
        """Return the written tick that something done at *sec* means, as the music is heard now."""
        feel = self._programme.pattern.feel
        return self._reading.nearest(self.tick_at(sec), self._conductor.timeline, feel)

    def is_same_movement(self, hit: Hit, sec: float) -> bool:
        """Return whether *hit* follows the last one on its drum too closely to be a stroke of its own.

        A main stroke much louder than the grace that was answered is one: what leads to it was only its grace.
        """
        if hit.piece.family not in _HAS_FLAMS:
            return False
        drum = Piece.SNARE if hit.piece is Piece.SIDE_STICK else hit.piece  # one drum, struck otherwise
        before_sec, velocity = self._struck.get(drum, (-inf, 0))
        self._struck[drum] = (sec, hit.velocity)
        return sec - before_sec <= FLAM_SEC and hit.velocity < MAIN_LOUDER * velocity
