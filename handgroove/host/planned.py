"""Where the chain gets chord, voicing and low note from when the whole chart is known."""

from __future__ import annotations

from collections.abc import Sequence

from handgroove.harmony.chart import Cue, Harmony
from handgroove.host.chain import ChordHere


class PlannedPlacing:
    """A harmony with a voicing and a low note planned for each of its spans.

    *voicings* and *lows* stand beside ``harmony.spans``.
    """

    def __init__(
        self,
        harmony: Harmony,
        voicings: Sequence[tuple[int, ...]],
        lows: Sequence[int],
    ) -> None:
        self._spans = harmony.spans
        self._voicings, self._lows = voicings, lows
        self._harmony = harmony
        self._last: tuple[int, ChordHere] | None = None  # what is struck together asks the same

    def at(self, tick: int) -> ChordHere:
        """Return what holds at *tick*, and the next span where there is one."""
        if self._last is None or self._last[0] != tick:
            self._last = tick, self._find(tick)
        return self._last[1]

    def _find(self, tick: int) -> ChordHere:
        index = self._harmony.index_at(tick)
        span = self._spans[index]
        voicing, low = self._voicings[index], self._lows[index]
        since = max(0, tick - span.start_tick)  # a pickup goes with the first chord
        stop = span.cue is Cue.STOP and tick >= span.start_tick
        after = index + 1
        if after >= len(self._spans):
            return ChordHere(span.chord, voicing, low, ticks_since_change=since, is_stop=stop)
        return ChordHere(
            span.chord,
            voicing,
            low,
            self._spans[after].chord,
            self._voicings[after],
            self._lows[after],
            span.end_tick - tick,
            ticks_since_change=since,
            is_stop=stop,
        )
