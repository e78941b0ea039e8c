"""Work that must not be done in the engine's process: the screen and the recorder, each fed through a pipe.

A line of JSON goes through the pipe for each thing told. The engine never waits for a sidecar: what does not fit in
the pipe is kept (for the recorder, within bounds) or forgotten (for the screen).
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections import deque
from collections.abc import Sequence
from typing import Any

_MOST_KEPT = 200_000


class Sidecar:
    """A process that runs *module* with *arguments* and reads what it is told from its standard input."""

    def __init__(self, module: str, arguments: Sequence[str] = (), *, keeps: bool = False) -> None:
        self._keeps = keeps
        self._waiting: deque[bytes] = deque()
        self.forgotten = 0
        self._process: subprocess.Popen[bytes] | None = subprocess.Popen(
            [sys.executable, "-m", module, *arguments],
            stdin=subprocess.PIPE,
            start_new_session=keeps,  # a recorder outlives a closed terminal long enough to finish its file
        )
        pipe = self._process.stdin
        assert pipe is not None
        self._fd = pipe.fileno()
        os.set_blocking(self._fd, False)

    def tell(self, what: Any) -> None:
        """Tell the process something that JSON can hold."""
        if self._process is None:
            return
        if (self._waiting and not self._keeps) or len(self._waiting) >= _MOST_KEPT:
            self.forgotten += 1
        else:
            self._waiting.append(json.dumps(what, separators=(",", ":")).encode() + b"\n")
        self.push()

    def push(self) -> None:
        """Write what is waiting, as far as the pipe takes it."""
        while self._waiting and self._process is not None:
            line = self._waiting[0]
            try:
                written = os.write(self._fd, line)
            except BlockingIOError:
                return
            except OSError:  # the process has gone: the engine plays on
                self._process = None
                return
            if written < len(line):
                self._waiting[0] = line[written:]
                return
            self._waiting.popleft()

    def close(self, wait_sec: float = 5.0) -> None:
        """Let the process finish what it has been told, and end."""
        process = self._process
        if process is None:
            return
        os.set_blocking(self._fd, True)
        self.push()
        assert process.stdin is not None
        process.stdin.close()
        self._process = None
        try:
            process.wait(wait_sec)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
