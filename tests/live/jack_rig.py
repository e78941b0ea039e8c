"""A JACK server and a stage for the tests that need the real thing."""

from __future__ import annotations

import re
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from time import monotonic, sleep

import pytest

from tests.tools.stage.server import Server, dummy_server, missing

needs_jack = [
    pytest.mark.jack,
    pytest.mark.skipif(bool(missing()), reason=f"no JACK server: {missing()}"),
]

CHART = "| Am7 |"


@contextmanager
def server() -> Iterator[Server]:
    """Run a server of our own, for this process too."""
    with dummy_server() as running:
        yield running


class Player:
    """``handgroove live`` in a process of its own; *lines* is what it says, with when."""

    def __init__(self, running: Server, *arguments: str) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "handgroove", "live", "--system", "jack", *arguments],
            env=running.environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            start_new_session=True,
        )
        self.lines: list[tuple[float, str]] = []
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.lines.append((monotonic(), line.rstrip()))

    def wait_for_line(self, pattern: str, seconds: float) -> float:
        """Return when a line that fits *pattern* was said; fail after *seconds*."""
        until_sec = monotonic() + seconds
        while monotonic() < until_sec:
            for sec, line in self.lines:
                if re.search(pattern, line):
                    return sec
            sleep(0.01)
        raise AssertionError(f"no line like {pattern!r} within {seconds} s; said: {self.said()}")

    def said(self) -> str:
        """Return all it has said."""
        return "\n".join(line for _, line in self.lines)

    def end(self, number: int = signal.SIGINT) -> int:
        """End it with a signal; return its exit code."""
        self.process.send_signal(number)
        code = self.process.wait(20)
        self._close()
        return code

    def kill(self) -> None:
        """Make sure that it is gone."""
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        self._close()

    def _close(self) -> None:
        self._reader.join(5)
        if self.process.stdout is not None:
            self.process.stdout.close()
