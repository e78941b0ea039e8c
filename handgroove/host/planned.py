"""Where the chain gets chord, voicing and low note from when the whole chart is known."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from handgroove.harmony.chart import Cue, Harmony
from handgroove.host.own_strokes import ChordHere

_STOP = Cue.STOP  # by name: in Python 3.11 ten times as quick as through the class


class PlannedPlacing:
    """A harmony with a voicing and a low note planned for each of its spans.

    *voicings* and *lows* stand beside ``harmony.spans``.
    """

    def __init__(self, harmony: Harmony, voicings: Sequence[tuple[int, ...]], lows: Sequence[int]) -> None:
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
        after = index + 1
        following = self._spans[after] if after < len(self._spans) else None
        return ChordHere(
            span.chord,
            self._voicings[index],
            self._lows[index],
            following.chord if following else None,
            self._voicings[after] if following else (),
            self._lows[after] if following else None,
            span.end_tick - tick if following else None,
            ticks_since_change=max(0, tick - span.start_tick),  # a pickup goes with the first chord
            is_stop=span.cue is _STOP and tick >= span.start_tick,
            push_ticks=span.push_ticks,
            turn_low=None if following else self._turn_low,
            last_chord=self._spans[index - 1].chord if index else None,
            next_fixed=following is not None and (following.push_ticks > 0 or following.cue is _STOP),
        )

    @cached_property
    def _turn_low(self) -> int | None:
        """Return the first chord's low note if the last one leads there: a seventh chord whose fifth below it is."""
        first, last = self._spans[0].chord, self._spans[-1].chord
        if first is None or last is None or not {4, 10} <= set(last.tones):
            return None
        return self._lows[0] if (last.root.pc - first.root.pc) % 12 == 7 else None
