"""The fence round translators: what a call may take, and what it may answer."""

from __future__ import annotations

from typing import Any

import pytest

from handgroove.clock import RealClock
from handgroove.host.fence import (
    AT_THE_DESK,
    MOST_STRIKES,
    ON_STAGE,
    Fence,
    Limits,
    check_answer,
)
from handgroove.host.watch import PluginError
from handgroove.strike import Hand, LeaveOut, Role, Strike
from tests.live.pretended import PretendedClock

_GOOD = Strike((60,), 80, Hand.RIGHT, Role.COMPING, 240)


class _Translator:
    def __init__(self, do: Any) -> None:
        self._do = do

    def strikes(self, hit: Any, moment: Any) -> Any:
        return self._do()

    def figure(self, hits: Any, moments: Any) -> Any:
        return self._do()


def _ask(fence: Fence, do: Any) -> Any:
    nothing: Any = None
    return fence.around(_Translator(do)).strikes(nothing, nothing)


def _work(clock: PretendedClock, sec: float) -> Any:
    def work() -> list[Strike]:
        clock.rest(sec)
        return [_GOOD]

    return work


def test_good_answers_pass() -> None:
    """Strikes, a generator of strikes, and a reason for none pass through."""
    fence = Fence(PretendedClock())
    assert check_answer(_ask(fence, lambda: [_GOOD])) == (_GOOD,)
    assert check_answer(_ask(fence, lambda: (strike for strike in [_GOOD]))) == (_GOOD,)
    assert check_answer(_ask(fence, lambda: LeaveOut("too soft"))) == LeaveOut("too soft")


def test_what_a_call_may_take_is_processor_time() -> None:
    """On stage four milliseconds of work pass, six do not; a whole figure may take a tenth of a second."""
    clock = PretendedClock()
    assert _ask(Fence(clock), _work(clock, 0.004)) == [_GOOD]
    with pytest.raises(PluginError, match=r"took 6.0 ms of the 5 ms"):
        _ask(Fence(clock), _work(clock, 0.006))
    assert Fence(clock).around(_Translator(_work(clock, 0.09))).figure([], []) == [_GOOD]


def test_a_translator_that_sleeps_is_found_by_the_clock_on_the_wall() -> None:
    """Sleeping uses no processor time, and holds the music up all the same."""
    clock = RealClock()
    with pytest.raises(PluginError, match="kept the music waiting"):
        _ask(Fence(clock), lambda: clock.rest(0.06) or [_GOOD])  # type: ignore[func-returns-value]


def test_at_the_desk_a_slow_call_is_forgiven_until_the_song_s_credit_is_spent() -> None:
    """Four seconds for the first hit pass; a translator that goes on like that is found out at the second."""
    clock = PretendedClock()
    slow = Fence(clock, AT_THE_DESK).around(_Translator(_work(clock, 4.0)))
    nothing: Any = None
    assert slow.strikes(nothing, nothing) == [_GOOD]
    with pytest.raises(PluginError, match=r"took 4000.0 ms of the 5 ms"):
        slow.strikes(nothing, nothing)


def test_an_endless_generator_is_cut() -> None:
    """No more strikes are made than an answer may have, and one that tells that there are too many."""

    def endless() -> Any:
        while True:
            yield _GOOD

    answer = _ask(Fence(PretendedClock()), endless)
    assert len(answer) == MOST_STRIKES + 1
    with pytest.raises(PluginError, match=f"at most {MOST_STRIKES} strikes"):
        check_answer(answer)


def test_the_stage_is_stricter_than_the_desk() -> None:
    """On stage our own translators are watched too, and nothing is forgiven."""
    assert ON_STAGE.own
    assert not AT_THE_DESK.own
    assert Limits(0.005, 0.05, 0.1, 0.0, own=True) == ON_STAGE


def _strike(**changes: Any) -> Strike:
    return Strike(
        **{
            "pitches": (60,),
            "velocity": 80,
            "hand": Hand.LEFT,
            "role": Role.KICK,
            "hold_ticks": 240,
            **changes,
        }
    )


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"pitches": ()}, "pitches: expected one to five pitches 0 to 127, low to high, got ()"),
        ({"pitches": (1, 2, 3, 4, 5, 6)}, "one to five pitches"),
        ({"pitches": (128,)}, "pitches 0 to 127"),
        ({"pitches": (60.0,)}, "pitches 0 to 127"),
        ({"pitches": [60]}, "got a list"),
        ({"pitches": (64, 60)}, "low to high"),
        ({"pitches": (60, 60)}, "low to high"),
        ({"velocity": 0}, "velocity: expected a velocity 1 to 127, got 0"),
        ({"velocity": True}, "velocity 1 to 127"),
        ({"hand": "left"}, "hand: expected a Hand, got 'left'"),
        ({"role": None}, "role: expected a Role, got None"),
        ({"hold_ticks": 0}, "hold_ticks: expected ticks 1 to 61440, got 0"),
        ({"hold_ticks": 10**9}, "hold_ticks"),
        ({"hold_ticks": float("inf")}, "hold_ticks"),
        ({"until_next": 1}, "until_next: expected True or False"),
        ({"fingers": (6,)}, "fingers: expected a finger 0 to 5 for each pitch"),
        ({"fingers": (1, 2)}, "fingers"),
        ({"fingers": None}, "fingers"),
        ({"weight": float("nan")}, "weight: expected a number 0 to 1000, got nan"),
        ({"weight": -1}, "weight"),
        ({"delay_ticks": -1}, "delay_ticks: expected ticks 0 to 61440"),
        ({"delay_ticks": 10**9}, "delay_ticks"),
        ({"delay_ticks": -2000, "grace": True}, "a grace note from -960"),
        ({"grace": None}, "grace: expected True or False"),
        ({"second": 200}, "second: expected a pitch, or -1"),
    ],
)
def test_answers_that_no_piano_can_play_are_refused(changes: dict[str, Any], said: str) -> None:
    """Each fault of a strike is named with its field, what was expected and what came."""
    assert check_answer([_strike()])
    with pytest.raises(PluginError) as caught:
        check_answer([_strike(**changes)])
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        (None, "expected strikes or a LeaveOut, got None"),
        (["C"], "expected a Strike, got 'C'"),
        ("C major", "expected a Strike, got 'C'"),
        (LeaveOut(""), "expected a LeaveOut with its reason in words"),
        (LeaveOut(None), "got None"),  # type: ignore[arg-type]
        ([_GOOD] * 33, "expected at most 32 strikes"),
        ([object()], "got a object"),
    ],
)
def test_what_is_no_answer_is_refused(answer: Any, said: str) -> None:
    """Something else than strikes or a reason is named by its type, never by a text of its own."""
    with pytest.raises(PluginError) as caught:
        check_answer(answer)
    assert said in str(caught.value)


def test_a_grace_note_may_come_before_its_hit() -> None:
    """A grace note's delay is negative; any other strike's is not."""
    assert check_answer([_strike(delay_ticks=-60, grace=True)])
