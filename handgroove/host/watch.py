"""The watch: somebody else's code is run so that the music survives whatever it does.

What never returns is broken off. In the main thread of a POSIX system an interval timer's signal does it, set for each
call alone; it breaks off waiting too (sleeping, reading). On Windows, and in any other thread, a watch-dog thread has
CPython raise in the watched one (`PyThreadState_SetAsyncExc`); that takes hold at the next bytecode, so a call that
waits inside C is broken off when C comes back. Code that ends the process (`os._exit`) or never gives the interpreter
back can't be held from inside the process. What is printed goes to standard error (in the main thread, the one that
prints results); ``sys.exit`` is a fault like any other; the player's own Ctrl-C goes through.

This is the only place in the host that reads a clock.
"""

from __future__ import annotations

import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Lock, Thread, current_thread, get_ident, main_thread
from types import FrameType
from typing import Any

_AGAIN_SEC = 0.05  # code that catches what broke it off is broken off again
_PACE_SEC = 0.02  # how often the dog looks; beside limits of a tenth of a second and more
_IDLE_ROUNDS = 50  # after a second without work the dog goes home
_LONGEST_TEXT = 200  # characters of somebody else's message: it is to stay one line


class PluginError(Exception):
    """What a plugin did wrong, in words."""


class BrokenOffError(BaseException):
    """Raised inside code that takes too long; not an Exception, so that ``except Exception`` does not hold it."""


class MachineTimer:
    """The machine's steady clock, and how long this thread has been working."""

    now = staticmethod(time.perf_counter)
    busy_sec = staticmethod(time.thread_time)


def describe(error: BaseException) -> str:
    """Return what was raised, in one line."""
    if isinstance(error, PluginError):
        return str(error)
    if isinstance(error, SystemExit):
        return "tried to end the program"
    try:
        text = " ".join(str(error).split())[:_LONGEST_TEXT]
    except Exception:  # an error's own text may fail as well
        text = ""
    name = type(error).__name__
    return f"{name}: {text}" if text else name


class Watch:
    """Watches over calls, one at a time."""

    __slots__ = ("_before", "_dog", "_interrupted", "_is_held", "_timer_before")

    def __init__(self) -> None:
        self._dog = _Dog()
        self._before: dict[int, Any] = {}
        self._timer_before = (0.0, 0.0)
        self._is_held = self._interrupted = False

    @contextmanager
    def held(self) -> Iterator[None]:
        """Keep the signals' handlers for many calls, where they may be taken for all that time."""
        self._take_signals()
        self._is_held = True
        try:
            yield
        finally:
            self._is_held = False
            self._give_signals_back()

    def run(self, limit_sec: float, function: Callable[..., Any], *args: Any) -> Any:
        """Return what *function* answers; raise PluginError where it raises, or does not return in *limit_sec*."""
        is_main = current_thread() is main_thread()
        stdout = sys.stdout
        if is_main:
            sys.stdout = sys.stderr
        self._interrupted = False
        try:
            try:
                self._start(limit_sec, is_main)
                answer = function(*args)
            finally:
                self._stop(is_main)
        except BaseException as error:
            self._stop(is_main)  # what was raised may have come before the first stop had done its work
            if isinstance(error, BrokenOffError):
                raise PluginError(f"did not come back within {limit_sec:g} s") from None
            if self._interrupted:
                raise KeyboardInterrupt from None
            raise PluginError(describe(error)) from error
        finally:
            if is_main:
                sys.stdout = stdout
        if self._interrupted:  # the plugin swallowed it, and it was not meant for the plugin
            raise KeyboardInterrupt
        return answer

    def _start(self, limit_sec: float, is_main: bool) -> None:
        if is_main and not self._is_held:
            self._take_signals()
        if is_main and hasattr(signal, "setitimer"):
            self._timer_before = signal.setitimer(signal.ITIMER_REAL, limit_sec, _AGAIN_SEC)
        else:
            self._dog.watch(limit_sec)

    def _stop(self, is_main: bool) -> None:
        if is_main and hasattr(signal, "setitimer"):
            signal.setitimer(signal.ITIMER_REAL, *self._timer_before)
        else:
            self._dog.rest()
        if is_main and not self._is_held:
            self._give_signals_back()

    def _take_signals(self) -> None:
        if hasattr(signal, "SIGALRM"):
            self._before[signal.SIGALRM] = signal.signal(signal.SIGALRM, _break_off)
        if callable(signal.getsignal(signal.SIGINT)):
            self._before[signal.SIGINT] = signal.signal(signal.SIGINT, self._interrupt)

    def _give_signals_back(self) -> None:
        for number, handler in self._before.items():
            signal.signal(number, handler)
        self._before.clear()

    def _interrupt(self, number: int, frame: FrameType | None) -> None:
        """Do what Ctrl-C does here, and note that it was the player's."""
        try:
            self._before[signal.SIGINT](number, frame)
        except KeyboardInterrupt:
            self._interrupted = True
            raise


def _break_off(_number: int, _frame: FrameType | None) -> None:
    raise BrokenOffError


class _Dog:
    """A thread that breaks off another thread's call once its time is up."""

    __slots__ = ("_call", "_has_bitten", "_lock", "_thread")

    def __init__(self) -> None:
        self._lock = Lock()
        self._call: tuple[int, float] | None = None
        self._has_bitten = False
        self._thread: Thread | None = None

    def watch(self, limit_sec: float) -> None:
        """Break this thread's work off in *limit_sec*, unless `rest` comes first."""
        with self._lock:
            self._call = (get_ident(), time.perf_counter() + limit_sec)
            if self._thread is None:
                self._thread = Thread(target=self._walk, name="watch-dog", daemon=True)
                self._thread.start()

    def rest(self) -> None:
        """Leave this thread alone: what was set off and has not arrived is called back."""
        with self._lock:
            self._call = None
            if self._has_bitten:
                self._has_bitten = False
                _raise_in(get_ident(), None)

    def _walk(self) -> None:
        idle = 0
        due_sec = 0.0
        while True:
            time.sleep(_PACE_SEC)
            with self._lock:
                idle = 0 if self._call else idle + 1
                if idle > _IDLE_ROUNDS:
                    self._thread = None
                    return
                now_sec = time.perf_counter()
                if self._call and now_sec >= max(self._call[1], due_sec):
                    self._has_bitten = True
                    due_sec = now_sec + _AGAIN_SEC
                    _raise_in(self._call[0], BrokenOffError)


def _raise_in(thread: int, error: type[BaseException] | None) -> None:
    """Have CPython raise *error* in *thread* at its next bytecode; None calls back what is still on its way."""
    import ctypes

    what = ctypes.py_object() if error is None else ctypes.py_object(error)
    ctypes.pythonapi.PyThreadState_SetAsyncExc(ctypes.c_ulong(thread), what)
