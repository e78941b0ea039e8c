"""Where the music is: musical position over seconds, tap tempo, and the sender of MIDI clock.

A transport is one straight line from seconds to ticks (960 to the quarter), replaced by another at each change of
tempo. Position never jumps when only the tempo changes.
"""

from __future__ import annotations

from collections import deque
from statistics import median

from handgroove.live.core.messages import CLOCK, CLOCKS_PER_QUARTER, START, STOP, Message
from handgroove.timeline import TICKS_PER_QUARTER

TICKS_PER_CLOCK = TICKS_PER_QUARTER // CLOCKS_PER_QUARTER
TEMPO_RANGE_BPM = (20.0, 400.0)
START_LEAD_SEC = 0.003  # MIDI 1.0 page 30: at least 1 ms between start and the first clock

_TAP_PAUSE_SEC = 2.5
_TAPS_KEPT = 6
_TAPS_NEEDED = 3


class Transport:
    """Maps seconds to ticks and back at a tempo in quarter notes a minute."""

    __slots__ = ("_anchor_sec", "_anchor_tick", "_sec_per_tick")

    def __init__(self, tempo_bpm: float, start_sec: float = 0.0) -> None:
        self._anchor_sec = start_sec
        self._anchor_tick = 0.0
        self._sec_per_tick = 60.0 / (tempo_bpm * TICKS_PER_QUARTER)

    @property
    def tempo_bpm(self) -> float:
        """Return the tempo in quarter notes a minute."""
        return 60.0 / (self._sec_per_tick * TICKS_PER_QUARTER)

    def tick_at(self, sec: float) -> float:
        """Return the position in ticks at *sec*."""
        return self._anchor_tick + (sec - self._anchor_sec) / self._sec_per_tick

    def sec_at(self, tick: float) -> float:
        """Return the second at which position *tick* is reached."""
        return self._anchor_sec + (tick - self._anchor_tick) * self._sec_per_tick

    def ticks_to_sec(self, ticks: float) -> float:
        """Return how many seconds *ticks* last now."""
        return ticks * self._sec_per_tick

    def set_tempo(self, tempo_bpm: float, sec: float) -> None:
        """Take a new tempo at *sec*; the position goes on from where it is."""
        tempo_bpm = max(TEMPO_RANGE_BPM[0], min(TEMPO_RANGE_BPM[1], tempo_bpm))
        self._anchor_tick = self.tick_at(sec)
        self._anchor_sec = sec
        self._sec_per_tick = 60.0 / (tempo_bpm * TICKS_PER_QUARTER)

    def move_to(self, tick: float, sec: float) -> None:
        """Be at position *tick* at *sec*; the tempo stays."""
        self._anchor_tick = tick
        self._anchor_sec = sec

    def lie_on(self, tick: float, sec: float, sec_per_tick: float) -> None:
        """Take over a line that was found elsewhere: through (*sec*, *tick*), *sec_per_tick* steep."""
        self._anchor_tick = tick
        self._anchor_sec = sec
        self._sec_per_tick = sec_per_tick


class TapTempo:
    """Finds the tempo of taps on a pedal or key: the middle one of the last intervals, from the third tap on."""

    __slots__ = ("_taps",)

    def __init__(self) -> None:
        self._taps: deque[float] = deque(maxlen=_TAPS_KEPT)

    def tap(self, sec: float) -> float | None:
        """Take a tap at *sec*; return the tempo in taps a minute, or None while there are too few."""
        if self._taps and sec - self._taps[-1] > _TAP_PAUSE_SEC:
            self._taps.clear()
        if self._taps and sec - self._taps[-1] < 60 / TEMPO_RANGE_BPM[1]:
            return None  # the same tap, bouncing
        self._taps.append(sec)
        if len(self._taps) < _TAPS_NEEDED:
            return None
        gaps = [after - before for before, after in zip(self._taps, list(self._taps)[1:], strict=False)]
        return max(TEMPO_RANGE_BPM[0], 60.0 / median(gaps))


class ClockSender:
    """Sends MIDI clock from a transport: each clock has its own absolute time, so nothing drifts."""

    __slots__ = ("_next_clock", "running")

    def __init__(self) -> None:
        self._next_clock = 0
        self.running = False

    def arm(self, tick: float) -> None:
        """Be ready to start at *tick* (0 = from the top); clocks wait for `begin` or `run`."""
        self.running = False
        self._next_clock = max(0, -int(-tick // TICKS_PER_CLOCK))

    def begin(self) -> list[Message]:
        """Start from the top; return what says so. The clocks follow by `due`."""
        self.running = True
        return [(START,)]

    def run(self) -> None:
        """Let the clocks follow a start that was said already."""
        self.running = True

    def stop(self) -> list[Message]:
        """Return what says that the music has stopped."""
        if not self.running:
            return []
        self.running = False
        return [(STOP,)]

    def next_sec(self, transport: Transport) -> float | None:
        """Return when the next clock is due, or None while stopped."""
        return transport.sec_at(self._next_clock * TICKS_PER_CLOCK) if self.running else None

    def due(self, transport: Transport, sec: float) -> list[Message]:
        """Return the clocks that are due by *sec*; after a long wait only as many as keep the count right."""
        out: list[Message] = []
        while self.running and transport.sec_at(self._next_clock * TICKS_PER_CLOCK) <= sec:
            self._next_clock += 1
            out.append((CLOCK,))
        return out
