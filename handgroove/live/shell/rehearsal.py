"""Keeping the way from hit to answer warm.

Between hits the processor forgets: measured, an answer takes three times as long 4 ms after the one before as right
after it. So while a drummer plays, a second engine that nobody hears answers a hit of its own in every other pause
between two polls; that costs some 6% of a core and halves the answer's time.
"""

from __future__ import annotations

from handgroove.live.core.changes import Action, StageChange
from handgroove.live.core.engine import Engine
from handgroove.live.core.stage import Source

DRUMS = (36, 42, 38, 46, 51, 45, 49, 44, 48, 37)
CHORD = (48, 52, 55, 58)
STEP_SEC = 0.05


class Rehearsal:
    """Plays on *engine*, in a time of its own; what comes out is thrown away."""

    def __init__(self, engine: Engine) -> None:
        self._engine = engine
        self._sec = 0.0
        self._count = 0
        engine.start(0.0)

    def warm_up(self, hits: int = 200) -> None:
        """Walk every way once before the show, a fill too, so that what is reckoned once is reckoned by then."""
        self._engine.change(StageChange(Action.FILL), self._sec)
        for _ in range(hits):
            self.once()
            if self._count % 10 == 0:
                for pitch in CHORD:
                    moved = pitch + self._count // 10 % 12
                    self._engine.take(Source.KEYS, (0x90, moved, 80), self._sec)
                    self._engine.take(Source.KEYS, (0x80, moved, 0), self._sec)

    def once(self) -> None:
        """Answer one hit."""
        self._sec += STEP_SEC
        self._count += 1
        drum = DRUMS[self._count % len(DRUMS)]
        self._engine.take(Source.DRUMS, (0x99, drum, 40 + self._count % 80), self._sec)
