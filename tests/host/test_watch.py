"""The watch over somebody else's code: broken off, quiet, and never in the way of Ctrl-C."""

from __future__ import annotations

import signal
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from threading import Thread
from typing import Any

import pytest

from handgroove.host.watch import PluginError, Watch

LIMIT_SEC = 0.15


@pytest.fixture(autouse=True)
def ctrl_c_as_usual() -> Iterator[None]:
    """Give each test Python's own handler of Ctrl-C, which a process that was started in the background lacks."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


def loop() -> None:
    """Never return."""
    while True:
        pass


def stubborn() -> None:
    """Never return, and hold every Exception."""
    while True:
        with suppress(Exception):
            sum(range(100))


def in_thread(function: Any) -> list[Any]:
    """Return what *function* returned or raised, run in a thread of its own."""
    got: list[Any] = []

    def work() -> None:
        try:
            got.append(function())
        except BaseException as error:
            got.append(error)

    thread = Thread(target=work, daemon=True)
    thread.start()
    thread.join(20)
    return got


@pytest.mark.parametrize("endless", [loop, stubborn])
def test_a_call_that_never_returns_is_broken_off(endless: Any) -> None:
    """In the main thread the timer's signal does it, and leaves no timer and no handler behind."""
    before = signal.getsignal(signal.SIGINT)
    with pytest.raises(PluginError, match=r"did not come back within 0\.15 s"):
        Watch().run(LIMIT_SEC, endless)
    assert signal.getsignal(signal.SIGINT) is before
    if hasattr(signal, "setitimer"):
        assert signal.getitimer(signal.ITIMER_REAL) == (0.0, 0.0)


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="no interval timers on this system")
def test_waiting_is_broken_off_too() -> None:
    """A call that sleeps is woken by the signal."""
    with pytest.raises(PluginError, match="did not come back"):
        Watch().run(LIMIT_SEC, time.sleep, 60)


@pytest.mark.parametrize("endless", [loop, stubborn])
def test_in_another_thread_the_watch_dog_breaks_it_off(endless: Any) -> None:
    """No signal reaches a thread: there CPython itself is asked to raise, and the thread goes on working after."""
    watch = Watch()

    def work() -> str:
        with pytest.raises(PluginError, match="did not come back"):
            watch.run(LIMIT_SEC, endless)
        return "".join(str(watch.run(LIMIT_SEC, int, number)) for number in range(5))

    assert in_thread(work) == ["01234"]


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="no interval timers on this system")
def test_without_interval_timers_the_dog_guards_the_main_thread(monkeypatch: pytest.MonkeyPatch) -> None:
    """As on Windows: the main thread is watched by the dog."""
    monkeypatch.delattr(signal, "setitimer")
    with pytest.raises(PluginError, match="did not come back"):
        Watch().run(LIMIT_SEC, loop)
    assert Watch().run(LIMIT_SEC, lambda: 5) == 5


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (ValueError("no\nidea"), "ValueError: no idea"),
        (SystemExit(3), "tried to end the program"),
        (KeyboardInterrupt(), "KeyboardInterrupt"),
        (GeneratorExit(), "GeneratorExit"),
    ],
)
def test_whatever_is_raised_becomes_one_line(error: BaseException, said: str) -> None:
    """Errors, the wish to end the program and a made-up Ctrl-C are faults of the plugin, each told in one line."""

    def fail() -> None:
        raise error

    with pytest.raises(PluginError) as caught:
        Watch().run(LIMIT_SEC, fail)
    assert str(caught.value) == said


@pytest.mark.parametrize("hides_it", [False, True])
def test_the_player_s_own_ctrl_c_goes_through(hides_it: bool) -> None:
    """Ctrl-C during a call ends the program, even where the plugin holds what it raises."""

    def interrupted() -> None:
        try:
            signal.raise_signal(signal.SIGINT)
        except BaseException:
            if not hides_it:
                raise

    with pytest.raises(KeyboardInterrupt):
        Watch().run(LIMIT_SEC, interrupted)


def test_what_is_printed_goes_to_standard_error(capsys: pytest.CaptureFixture[str]) -> None:
    """A plugin's words do not stand among the results."""
    Watch().run(LIMIT_SEC, print, "look at me")
    print("a result")
    said = capsys.readouterr()
    assert (said.out, said.err) == ("a result\n", "look at me\n")
    assert sys.stdout is not sys.stderr


def test_a_held_watch_gives_the_signals_back_at_the_end() -> None:
    """For a whole session the handlers stay; after it the old ones are back."""
    before = signal.getsignal(signal.SIGINT)
    watch = Watch()
    with watch.held():
        with pytest.raises(PluginError, match="did not come back"):
            watch.run(LIMIT_SEC, loop)
        assert watch.run(LIMIT_SEC, lambda: 7) == 7
        assert signal.getsignal(signal.SIGINT) is not before
    assert signal.getsignal(signal.SIGINT) is before
