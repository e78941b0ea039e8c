"""A JACK server of our own with the dummy driver: real MIDI between real ports, without sound hardware."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from time import monotonic, sleep

from handgroove.errors import HandgrooveError, Problem

PERIOD_FRAMES = 64
RATE = 48000
_READY_SEC = 10.0


def missing() -> str:
    """Return why no server can be started here, or an empty string."""
    lacks = [name for name in ("jackd", "jack_lsp") if shutil.which(name) is None]
    return f"{' and '.join(lacks)} not found (Debian: apt-get install jackd2)" if lacks else ""


class Server:
    """A JACK server called *name*; `environment` makes programs use it."""

    def __init__(self, name: str) -> None:
        self.environment = {**os.environ, "JACK_DEFAULT_SERVER": name, "JACK_NO_START_SERVER": "1"}
        self._name = name
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start it and wait until it answers; a second try is made, since servers that start together may trip."""
        if not (self._try() or self._try()):
            raise HandgrooveError(
                Problem("", "the JACK server does not answer", remedy="is another one running?")
            )

    def _try(self) -> bool:
        """Start it; return whether it answers."""
        schedule = ["-R", "-P70"] if hasattr(os, "geteuid") and os.geteuid() == 0 else ["-r"]
        command = ["jackd", "-n", self._name, *schedule, "-p", "128", "-d", "dummy", "-C", "0", "-P", "0"]
        command += ["-r", str(RATE), "-p", str(PERIOD_FRAMES)]
        self._process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        until_sec = monotonic() + _READY_SEC
        while monotonic() < until_sec and self._process.poll() is None:
            asked = subprocess.run(["jack_lsp"], env=self.environment, capture_output=True, check=False)
            if asked.returncode == 0:
                return True
            sleep(0.05)
        self.stop()
        return False

    def stop(self) -> None:
        """End it, and remove what a killed one leaves behind."""
        if self._process is not None:
            self._process.terminate()
            self._process.wait()
            self._process = None
        for left in Path("/dev/shm").glob(f"jack_sem.*_{self._name}_*"):
            left.unlink(missing_ok=True)

    def kill(self) -> None:
        """End it without warning, as a crash would."""
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            self._process = None


@contextmanager
def dummy_server(name: str = "") -> Iterator[Server]:
    """Run a server for the length of a with block, and let this process use it."""
    server = Server(name or f"handgroove-{os.getpid()}")
    before = {key: os.environ.get(key) for key in ("JACK_DEFAULT_SERVER", "JACK_NO_START_SERVER")}
    os.environ.update({key: server.environment[key] for key in before})
    server.start()
    try:
        yield server
    finally:
        server.stop()
        for key, value in before.items():
            if value is None:
                os.environ.pop(key, None)
            else:
                os.environ[key] = value
