"""The fence around translators."""

from __future__ import annotations

import signal
from functools import partial
from types import FrameType
from typing import Any

import pytest

from handgroove.live.core.fence import Fence, OverranError, WrongAnswerError, check_answer
from handgroove.live.shell.clock import PretendedClock, RealClock
from handgroove.strike import Hand, LeaveOut, Role, Strike

_GOOD = Strike((60,), 80, Hand.RIGHT, Role.COMPING, 240)


class _Translator:
    name = "test"
    summary = "a test"

    def __init__(self, do: Any) -> None:
        self._do = do

    def strikes(self, hit: Any, moment: Any) -> Any:
        return self._do()


def _ask(fence: Fence, do: Any) -> Any:
    nothing: Any = None
    return fence.around("test", _Translator(do)).strikes(nothing, nothing)


def test_good_answers_pass() -> None:
    """Strikes, a generator of strikes, and a reason for none pass through."""
    fence = Fence(PretendedClock())
    assert _ask(fence, lambda: [_GOOD]) == (_GOOD,)
    assert _ask(fence, lambda: (strike for strike in [_GOOD])) == (_GOOD,)
    assert _ask(fence, lambda: LeaveOut("too soft")) == LeaveOut("too soft")


def test_what_a_call_may_take_is_processor_time() -> None:
    """Four milliseconds of work pass, six do not."""
    clock = PretendedClock()
    fence = Fence(clock)
    assert _ask(fence, lambda: clock.rest(0.004) or [_GOOD]) == (_GOOD,)  # type: ignore[func-returns-value]
    with pytest.raises(OverranError, match=r"took 6.0 ms of the 5 ms"):
        _ask(fence, lambda: clock.rest(0.006) or [_GOOD])  # type: ignore[func-returns-value]


def test_a_translator_that_sleeps_is_found_by_the_clock_on_the_wall() -> None:
    """Sleeping uses no processor time, and holds the music up all the same."""
    clock = RealClock()
    with pytest.raises(OverranError, match="kept the music waiting"):
        _ask(Fence(clock), lambda: clock.rest(0.06) or [_GOOD])  # type: ignore[func-returns-value]


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="no interval timers on this system")
def test_a_translator_that_never_returns_is_stopped() -> None:
    """An endless loop is broken off after a tenth of a second."""
    clock = RealClock()
    fence = Fence(clock)

    def check(_number: int, _frame: FrameType | None) -> None:
        fence.check_hang()

    def loop() -> None:
        while True:
            pass

    before = signal.signal(signal.SIGALRM, check)
    fence.set_alarm = partial(signal.setitimer, signal.ITIMER_REAL)
    try:
        started_sec = clock.now()
        with pytest.raises(OverranError, match="did not come back"):
            _ask(fence, loop)
        assert clock.now() - started_sec < 1.0
        assert signal.getitimer(signal.ITIMER_REAL) == (0.0, 0.0)
    finally:
        signal.signal(signal.SIGALRM, before)


@pytest.mark.parametrize(
    ("strike", "said"),
    [
        (Strike((), 80, Hand.LEFT, Role.KICK, 1), "one to five pitches"),
        (Strike((1, 2, 3, 4, 5, 6), 80, Hand.LEFT, Role.KICK, 1), "one to five pitches"),
        (Strike((128,), 80, Hand.LEFT, Role.KICK, 1), "pitches 0 to 127"),
        (Strike((60,), 0, Hand.LEFT, Role.KICK, 1), "velocity 1 to 127"),
        (Strike((60,), 80, Hand.LEFT, Role.KICK, 0), "a hold and a delay"),
        (Strike((60,), 80, Hand.LEFT, Role.KICK, 1, delay_ticks=-1), "a hold and a delay"),
        (Strike((60,), 80, Hand.LEFT, Role.KICK, 1, delay_ticks=10**9), "a hold and a delay"),
        ("C", "expected a Strike, got str"),
    ],
)
def test_answers_that_no_piano_can_play_are_refused(strike: Any, said: str) -> None:
    """Each fault of an answer is named."""
    with pytest.raises(WrongAnswerError, match=said):
        check_answer([strike])


def test_too_many_strikes_for_one_hit_are_refused() -> None:
    """One hit cannot ask for a flood."""
    with pytest.raises(WrongAnswerError, match="at most 32"):
        check_answer([_GOOD] * 33)
