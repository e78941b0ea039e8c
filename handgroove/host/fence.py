"""The fence round translators, offline and live: what one may take, and what it may answer.

Time is judged by what the processor spent on a call, since a busy machine may take the processor away from a good
translator; a call that takes very long by the clock on the wall is one that sleeps or waits, which no translator may.
What never returns is broken off (see `handgroove.host.watch`). Answers are checked where they come in, field by field:
what passes can be written to every output.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import islice
from math import isfinite
from typing import Any, Protocol

from handgroove.groove.hits import Hit
from handgroove.host.watch import MachineTimer, PluginError, Watch
from handgroove.strike import Hand, LeaveOut, Moment, Role, Strike

MOST_STRIKES = 32  # asked for one hit: three times what ten fingers can do
LONGEST_TICKS = 16 * 3840  # of a hold or a delay: sixteen bars of 4/4, longer than any fill
# How far a grace note may come before its hit: a quarter, a slow ruff's first stroke
LONGEST_GRACE_TICKS = 960
MOST_WEIGHT = 1000.0  # beside the 0.3 to 4 that our own translators use
FIGURE_CALLS = 20  # a figure is sought once for a whole fill: it may take as long as twenty hits


class Timer(Protocol):
    """Tells the time and how long this thread has been working."""

    def now(self) -> float:
        """Return the seconds of a steady clock."""

    def busy_sec(self) -> float:
        """Return the seconds of processor time that this thread has used."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What one call may take: *busy_sec* of the processor's time, *wait_sec* by the clock on the wall.

    What it takes beyond that comes out of a credit of *credit_sec* for the whole song. After *hang_sec* it is broken
    off. *own* says that Handgroove's own translators are watched too.
    """

    busy_sec: float
    wait_sec: float
    hang_sec: float
    credit_sec: float
    own: bool


ON_STAGE = Limits(0.005, 0.05, 0.1, 0.0, own=True)
# Nobody waits for a note, so a first call may load things.
AT_THE_DESK = Limits(0.005, 0.05, 2.0, 5.0, own=False)


class Fence:
    """Watches over the calls of translators, within *limits*.

    *watch* breaks off what never returns; without one (on pretended time) nothing does.
    """

    __slots__ = ("limits", "timer", "watch")

    def __init__(self, timer: Timer, limits: Limits = ON_STAGE, watch: Watch | None = None) -> None:
        self.timer, self.limits, self.watch = timer, limits, watch

    def around(self, translator: Any) -> Fenced:
        """Return *translator* inside the fence."""
        return Fenced(self, translator)

    def run(self, hang_sec: float, function: Callable[..., Any], *args: Any) -> Any:
        """Return what *function* answers; raise PluginError for what it does instead."""
        return self.watch.run(hang_sec, function, *args) if self.watch else function(*args)


def desk_fence() -> Fence:
    """Make the fence for one song offline."""
    return Fence(MachineTimer(), AT_THE_DESK, Watch())


class Fenced:
    """A translator inside the fence; it is asked as the translator itself is."""

    __slots__ = ("_credit_sec", "_fence", "_translator")

    def __init__(self, fence: Fence, translator: Any) -> None:
        self._fence = fence
        self._translator = translator
        self._credit_sec = fence.limits.credit_sec

    def strikes(self, hit: Hit, moment: Moment) -> Any:
        """Return the translator's answer for one hit, in no more time than it may take."""
        return self._ask("strikes", MOST_STRIKES, 1, hit, moment)

    def figure(self, hits: Sequence[Hit], moments: Sequence[Moment]) -> Any:
        """Return the translator's answer for a whole figure, in no more time than it may take."""
        return self._ask("figure", MOST_STRIKES * len(hits), FIGURE_CALLS, hits, moments)

    def _ask(self, method: str, most: int, calls: int, *args: Any) -> Any:
        fence, limits = self._fence, self._fence.limits
        started_sec, started_busy_sec = fence.timer.now(), fence.timer.busy_sec()
        hang_sec = limits.hang_sec + (calls - 1) * limits.busy_sec
        answer = fence.run(hang_sec, _collect, self._translator, method, most, args)
        busy_sec = fence.timer.busy_sec() - started_busy_sec
        wall_sec = fence.timer.now() - started_sec
        may_sec = calls * limits.busy_sec
        over_sec = max(busy_sec - may_sec, wall_sec - calls * limits.wait_sec)
        if over_sec > 0:
            self._credit_sec -= over_sec
            if self._credit_sec < 0:
                if busy_sec > may_sec:
                    raise PluginError(
                        f"took {busy_sec * 1e3:.1f} ms of the {may_sec * 1e3:.0f} ms that it may"
                    )
                raise PluginError(f"kept the music waiting for {wall_sec * 1e3:.0f} ms")
        return answer


def _collect(translator: Any, method: str, most: int, args: tuple[Any, ...]) -> Any:
    """Return the answer with all its strikes made, one more than it may have at most."""
    answer = getattr(translator, method)(*args)
    return answer if type(answer) in (list, tuple, LeaveOut) else _listed(answer, most)


def _listed(answer: Any, most: int) -> tuple[Any, ...]:
    try:
        strikes = iter(answer)
    except TypeError:
        raise PluginError(f"expected strikes or a LeaveOut, got {_told(answer)}") from None
    return tuple(islice(strikes, most + 1))


def check_answer(answer: Any, most: int = MOST_STRIKES) -> tuple[Strike, ...] | LeaveOut:
    """Return *answer* as it may go on; raise PluginError unless it is strikes that a piano can play, or a reason."""
    if type(answer) is LeaveOut:
        if type(answer.reason) is not str or not answer.reason.strip():
            raise PluginError(f"expected a LeaveOut with its reason in words, got {_told(answer.reason)}")
        return answer
    strikes = tuple(answer) if type(answer) in (list, tuple) else _listed(answer, most)
    if len(strikes) > most:
        raise PluginError(f"expected at most {most} strikes, got {len(strikes)} or more")
    for strike in strikes:
        if type(strike) is not Strike:
            raise PluginError(f"expected a Strike, got {_told(strike)}")
        for name, is_right, expected in _RULES:
            if not is_right(strike):
                raise PluginError(f"{name}: expected {expected}, got {_told(getattr(strike, name))}")
    return strikes


def _is_int(value: Any, lowest: int, highest: int) -> bool:
    return type(value) is int and lowest <= value <= highest


def _are_pitches(strike: Strike) -> bool:
    pitches, below = strike.pitches, -1
    if type(pitches) is not tuple or not 1 <= len(pitches) <= 5:
        return False
    for pitch in pitches:
        if type(pitch) is not int or not below < pitch < 128:
            return False
        below = pitch
    return True


def _are_fingers(strike: Strike) -> bool:
    fingers = strike.fingers
    return type(fingers) is tuple and (
        not fingers or (len(fingers) == len(strike.pitches) and all(_is_int(f, 0, 5) for f in fingers))
    )


def _is_weight(weight: Any) -> bool:
    return type(weight) in (int, float) and isfinite(weight) and 0 <= weight <= MOST_WEIGHT


_RULES: tuple[tuple[str, Callable[[Strike], bool], str], ...] = (
    ("pitches", _are_pitches, "one to five pitches 0 to 127, low to high"),
    ("velocity", lambda s: _is_int(s.velocity, 1, 127), "a velocity 1 to 127"),
    ("hand", lambda s: type(s.hand) is Hand, "a Hand"),
    ("role", lambda s: type(s.role) is Role, "a Role"),
    ("hold_ticks", lambda s: _is_int(s.hold_ticks, 1, LONGEST_TICKS), f"ticks 1 to {LONGEST_TICKS}"),
    ("until_next", lambda s: type(s.until_next) is bool, "True or False"),
    ("fingers", _are_fingers, "a finger 0 to 5 for each pitch, or none"),
    ("weight", lambda s: _is_weight(s.weight), f"a number 0 to {MOST_WEIGHT:g}"),
    ("grace", lambda s: type(s.grace) is bool, "True or False"),
    (
        "delay_ticks",
        lambda s: _is_int(s.delay_ticks, -LONGEST_GRACE_TICKS if s.grace else 0, LONGEST_TICKS),
        f"ticks 0 to {LONGEST_TICKS} (a grace note from -{LONGEST_GRACE_TICKS})",
    ),
    ("second", lambda s: _is_int(s.second, -1, 127), "a pitch, or -1"),
    ("spare", lambda s: _is_int(s.spare, -1, 127), "a pitch, or -1"),
)


def _told(value: Any) -> str:
    """Return *value* for a message; of what is not plain only its type, since its own text may fail."""
    if type(value) is tuple:
        return f"({', '.join(_told(item) for item in value[:6])})"
    plain = value is None or type(value) in (bool, int, float, str)
    return repr(value)[:60] if plain else f"a {type(value).__name__}"
