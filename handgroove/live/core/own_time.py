"""When the hands' own strokes are due on stage by the running clock, where no stroke of a drummer brings them.

The drummer's stroke comes first: the clock waits for one as long as two strokes are still heard as one, and as much
longer as the drummer is behind the beat just now.
"""

from __future__ import annotations

from handgroove.groove.meant.swing import play
from handgroove.host.own_strokes import Taken
from handgroove.live.core.conductor import Conductor
from handgroove.live.core.drummer import Drummer
from handgroove.live.core.programme import Programme

PATIENCE_SEC = 0.03  # closer onsets are heard as one (order is told apart from about 20 ms on; margin ours)


class OwnTime:
    """Walks along the places at which hands may strike something of their own, while the *conductor* plays."""

    def __init__(self, conductor: Conductor, programme: Programme, drummer: Drummer) -> None:
        self._conductor, self._programme, self._drummer = conductor, programme, drummer
        self._place, self._tick = 0, 0.0

    def start(self, place: int) -> None:
        """Go on from the written tick *place*: the position has jumped there."""
        timeline, feel = self._conductor.timeline, self._programme.pattern.feel
        bar = timeline.bar_at(place)
        self._place, self._tick = place, bar.start_tick + float(play(place - bar.start_tick, feel))

    def next_sec(self) -> float | None:
        """Return when the next place is due, or None where nothing can be."""
        if not (self._conductor.playing and self._programme.has_own):
            return None
        wait_sec = PATIENCE_SEC + max(0.0, self._drummer.lean_sec)
        return self._conductor.transport.sec_at(self._tick) + wait_sec

    def take(self, sec: float) -> Taken:
        """Return what hands strike of their own at the place that is due at *sec*, and go on."""
        chain, place = self._programme.chain, self._place
        chain.timeline = self._conductor.timeline
        taken = chain.own(place, self._conductor.tick_at(sec))
        self.start(chain.next_own(place))
        return taken
