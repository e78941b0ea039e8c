"""Recording: the engine's side, which only tells, and the process that writes (run as a module with a folder)."""

from __future__ import annotations

import json
import signal
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

from handgroove.clock import RealClock, wall_date
from handgroove.live.beside.sidecar import Sidecar
from handgroove.live.beside.take_file import Journal, recover
from handgroove.live.core.messages import ACTIVE_SENSING, CLOCK, Message
from handgroove.live.core.stage import Sink, Source

_LEFT_OUT = (CLOCK, ACTIVE_SENSING)  # they say nothing that the tempo track does not
_KEEP_SEC = 1.0


class Recorder:
    """Tells the recording process what comes in and goes out. A take begins with the session and at each start."""

    def __init__(self, folder: Path) -> None:
        self._sidecar = Sidecar("handgroove.live.beside.record", [str(folder)], keeps=True)
        self._tempo_bpm = 0.0

    def new_take(self, sec: float, tempo_bpm: float) -> None:
        """Begin a new take at *sec*."""
        self._tempo_bpm = tempo_bpm
        self._sidecar.tell(["take", sec, tempo_bpm])

    def follow_tempo(self, sec: float, tempo_bpm: float) -> None:
        """Note the tempo at *sec*, if it has changed."""
        if abs(tempo_bpm - self._tempo_bpm) > 0.002 * tempo_bpm:
            self._tempo_bpm = tempo_bpm
            self._sidecar.tell(["tempo", sec, tempo_bpm])
        self._sidecar.push()

    def note_in(self, source: Source, message: Message, sec: float) -> None:
        """Keep a message that came in at *sec*."""
        if message and message[0] not in _LEFT_OUT:
            self._sidecar.tell(["in", source.value, sec, message])

    def note_out(self, sink: Sink, message: Message, sec: float) -> None:
        """Keep a message that went out at *sec*."""
        if message[0] not in _LEFT_OUT:
            self._sidecar.tell(["out", sink.value, sec, message])

    @property
    def forgotten(self) -> int:
        """Return how many messages could not be kept."""
        return self._sidecar.forgotten

    def close(self) -> None:
        """Let the last take be finished."""
        self._sidecar.close(20.0)


def write_takes(lines: Iterable[str], folder: Path, now: Callable[[], float], date: str) -> list[Path]:
    """Write what *lines* tell into takes in *folder*, until they end; return the takes made."""
    made = recover(folder) if folder.exists() else []
    journal: Journal | None = None
    kept_sec = now()
    for line in lines:
        try:
            entry: list[Any] = json.loads(line)
        except ValueError:  # the engine was killed in the midst of a line
            continue
        if entry[0] == "take" or journal is None:
            made += _finish(journal)
            journal = Journal(folder, date)
            if entry[0] == "take":
                entry = ["tempo", *entry[1:]]
        journal.write(entry)
        if now() - kept_sec > _KEEP_SEC:
            kept_sec = now()
            journal.keep()
    return made + _finish(journal)


def _finish(journal: Journal | None) -> list[Path]:
    path = journal.finish() if journal else None
    return [path] if path else []


def main() -> None:
    """Write takes until the engine ends, however it ends."""
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.SIG_IGN)
    write_takes(sys.stdin, Path(sys.argv[1]), RealClock.now, wall_date())


if __name__ == "__main__":
    main()
