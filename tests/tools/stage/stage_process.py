"""The stage as a child process, in a terminal of its own, so that it runs as it does for a player."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

_OWN = re.compile(r"own share of the delay: median ([\d.]+) ms, 99th percentile ([\d.]+) ms")
_LATE = re.compile(r"lateness: median ([\d.]+) ms, 99th percentile ([\d.]+) ms")
_HITS = re.compile(r"(\d+) hits, (\d+) answered, (\d+) left out")


@dataclass(frozen=True, slots=True)
class Told:
    """What the stage said at its end, in milliseconds and counts."""

    own_p50_ms: float
    own_p99_ms: float
    late_p50_ms: float
    late_p99_ms: float
    hits: int
    answered: int
    left_out: int
    exit_code: int


class Stage:
    """``handgroove live`` with *arguments*, on a pseudo-terminal whose screen is read and thrown away."""

    def __init__(
        self, arguments: Sequence[str], environment: dict[str, str], *, with_collector: bool = False
    ) -> None:
        import pty

        master, slave = pty.openpty()
        starter = "tests.tools.stage.collecting" if with_collector else "handgroove"
        self.process = subprocess.Popen(
            [sys.executable, "-m", starter, "live", "--system", "jack", *arguments],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            env={**environment, "TERM": "xterm-256color", "COLUMNS": "100", "LINES": "40"},
        )
        os.close(slave)
        self._master = master
        self._said = bytearray()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        while True:
            try:
                data = os.read(self._master, 1 << 16)
            except OSError:
                return
            if not data:
                return
            self._said += data
            del self._said[:-20_000]

    def memory_kib(self) -> int:
        """Return the resident memory of the stage's process in KiB."""
        status = Path(f"/proc/{self.process.pid}/status").read_text(encoding="ascii")
        found = re.search(r"VmRSS:\s+(\d+) kB", status)
        return int(found.group(1)) if found else 0

    def end(self, number: int = signal.SIGTERM) -> Told:
        """End the stage with a signal; return what it said."""
        self.process.send_signal(number)
        code = self.process.wait(30)
        self._reader.join(2)
        os.close(self._master)
        text = self._said.decode("utf-8", "replace")
        own, late, hits = (pattern.search(text) for pattern in (_OWN, _LATE, _HITS))
        if own is None or late is None or hits is None:
            raise RuntimeError(f"the stage ended with {code} and said: {text[-2000:]}")
        own_ms, late_ms = ([float(number) for number in found.groups()] for found in (own, late))
        played = [int(count) for count in hits.groups()]
        return Told(own_ms[0], own_ms[1], late_ms[0], late_ms[1], played[0], played[1], played[2], code)
