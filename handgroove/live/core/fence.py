"""The fence: live, a translator that raises, overruns its time or answers nonsense is refused.

The chain bypasses a translator whose call raises; the fence makes the other faults raise too. Time is judged by
what the processor spent on the call, since a busy machine may take the processor away from a good translator; a call
that takes very long by the clock on the wall is one that sleeps or waits, which no translator may.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Protocol

from handgroove.groove.hits import Hit
from handgroove.strike import LeaveOut, Moment, Strike

CALL_LIMIT_SEC = 0.005
WAIT_LIMIT_SEC = 0.05
HANG_SEC = 0.1
MOST_STRIKES = 32
_LONGEST_DELAY_TICKS = 16 * 3840  # sixteen bars of 4/4: longer than any fill


class Timer(Protocol):
    """Tells the time and how long this thread has been working (see `clock.RealClock`)."""

    def now(self) -> float:
        """Return the seconds of a steady clock."""
        ...

    def busy_sec(self) -> float:
        """Return the seconds of processor time that this thread has used."""
        ...


class OverranError(Exception):
    """A translator took longer than it may."""


class WrongAnswerError(Exception):
    """A translator's answer is not what a translator may answer."""


class Fence:
    """Watches over the calls of translators. *limit_sec* is what one call may take.

    *set_alarm*, where there is one, has `check_hang` called in so many seconds (0 = not at all).
    """

    __slots__ = ("_name", "_started_sec", "limit_sec", "set_alarm", "timer")

    def __init__(self, timer: Timer, limit_sec: float = CALL_LIMIT_SEC) -> None:
        self.timer = timer
        self.limit_sec = limit_sec
        self.set_alarm: Callable[[float], object] | None = None
        self._name = ""
        self._started_sec = 0.0

    def around(self, name: str, translator: Any) -> Fenced:
        """Return *translator*, called *name*, inside the fence."""
        return Fenced(self, name, translator)

    def enter(self, name: str) -> float:
        """Note that the translator called *name* starts to work; return its start for `leave`."""
        self._name = name
        self._started_sec = self.timer.now()
        if self.set_alarm is not None:
            self.set_alarm(HANG_SEC)
        return self.timer.busy_sec()

    def leave(self, started_busy_sec: float) -> None:
        """Note that it is done; raise OverranError if it took too long."""
        self.abandon()
        busy_sec = self.timer.busy_sec() - started_busy_sec
        if busy_sec > self.limit_sec:
            raise OverranError(
                f"took {busy_sec * 1e3:.1f} ms of the {self.limit_sec * 1e3:.0f} ms that it may"
            )
        wall_sec = self.timer.now() - self._started_sec
        if wall_sec > WAIT_LIMIT_SEC:
            raise OverranError(f"kept the music waiting for {wall_sec * 1e3:.0f} ms")

    def abandon(self) -> None:
        """Note that the call has ended."""
        self._name = ""
        if self.set_alarm is not None:
            self.set_alarm(0.0)

    def check_hang(self) -> None:
        """Raise OverranError inside a call that does not come back; the alarm's signal calls this."""
        if self._name and self.timer.now() - self._started_sec >= 0.9 * HANG_SEC:
            raise OverranError(f"did not come back within {HANG_SEC * 1e3:.0f} ms")


class Fenced:
    """A translator inside the fence; it looks like the translator itself."""

    __slots__ = ("_fence", "_label", "_strikes", "name", "settings_model", "summary")

    def __init__(self, fence: Fence, name: str, translator: Any) -> None:
        self._fence = fence
        self._label = name
        self._strikes = translator.strikes
        self.name = name
        self.summary = getattr(translator, "summary", "")
        self.settings_model = getattr(translator, "settings_model", None)

    def strikes(self, hit: Hit, moment: Moment) -> Sequence[Strike] | LeaveOut:
        """Return the translator's answer, checked; raise what it raises, or what the fence finds."""
        started_busy_sec = self._fence.enter(self._label)
        answer: tuple[Strike, ...] | LeaveOut
        try:
            said = self._strikes(hit, moment)
            answer = said if isinstance(said, LeaveOut) else tuple(said)
        except BaseException:
            self._fence.abandon()
            raise
        self._fence.leave(started_busy_sec)
        if not isinstance(answer, LeaveOut):
            check_answer(answer)
        return answer


def check_answer(answer: Sequence[Any]) -> None:
    """Raise WrongAnswerError unless *answer* is strikes that a piano can play."""
    if len(answer) > MOST_STRIKES:
        raise WrongAnswerError(f"expected at most {MOST_STRIKES} strikes, got {len(answer)}")
    for strike in answer:
        if not isinstance(strike, Strike):
            raise WrongAnswerError(f"expected a Strike, got {type(strike).__name__}")
        if not 1 <= len(strike.pitches) <= 5:
            raise WrongAnswerError(f"expected one to five pitches, got {len(strike.pitches)}")
        if not all(type(pitch) is int and 0 <= pitch <= 127 for pitch in strike.pitches):
            raise WrongAnswerError(f"expected pitches 0 to 127, got {strike.pitches!r}")
        if not (type(strike.velocity) is int and 1 <= strike.velocity <= 127):
            raise WrongAnswerError(f"expected a velocity 1 to 127, got {strike.velocity!r}")
        if not (strike.hold_ticks > 0 and 0 <= strike.delay_ticks <= _LONGEST_DELAY_TICKS):
            raise WrongAnswerError(
                f"expected a hold and a delay, got {strike.hold_ticks!r}, {strike.delay_ticks!r}"
            )
