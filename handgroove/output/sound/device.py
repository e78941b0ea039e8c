"""The machine's own audio: a port that sounds, for playing live without a synthesizer.

The piano runs in a process of its own, so that reckoning waves never holds up the thread that answers hits. Messages
go there through a pipe, three bytes each; the child says in one line whether it can be heard.
"""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections import deque
from collections.abc import Callable, Generator, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from handgroove.errors import HandgrooveError, Problem
from handgroove.output.sound.soundfont import Frames, import_miniaudio
from handgroove.output.sound.source import RATE

PERIOD_MS = 6  # of two periods: what is struck is heard some 12 to 18 ms later, plus what the device adds
READY_SEC = 20.0
_PATIENCE_SEC = 2.0
_NO_DEVICE_REMEDY = (
    "connect an audio device, or leave --sound out and play a piano through a MIDI port ('handgroove ports' lists "
    "them), or record: 'handgroove translate ... --write sound'"
)


class SoundPort:
    """Where messages go out as sound. Looks like a MIDI port; *trouble* says in words why it fell silent, if it did."""

    def __init__(self, child: subprocess.Popen[bytes], name: str) -> None:
        self.name = name
        self.trouble = ""
        self._child = child
        assert child.stdin is not None
        self._pipe = child.stdin
        with suppress(OSError, AttributeError):  # no such thing on Windows before Python 3.12
            os.set_blocking(self._pipe.fileno(), False)

    def send(self, message: Sequence[int]) -> None:
        """Send one whole message; never waits and never raises. What is not three bytes is nothing to a piano."""
        if self.trouble or len(message) != 3:
            return
        try:
            os.write(self._pipe.fileno(), bytes(message))
        except BlockingIOError:
            self.trouble = "the sound is stuck: its process takes no more messages"
        except (OSError, ValueError):
            self.trouble = "the sound has stopped: its process has ended"

    def close(self) -> None:
        """Damp all strings and let the device go."""
        with suppress(OSError):
            self._pipe.close()
        try:
            self._child.wait(_PATIENCE_SEC)
        except subprocess.TimeoutExpired:
            self._child.kill()
            self._child.wait()
        if self._child.stdout is not None:
            self._child.stdout.close()


def open_sound(soundfont: Path | None = None, *, backend: str = "") -> SoundPort:
    """Open the machine's audio and return a port that plays the piano (or *soundfont*'s) through it.

    Raise HandgrooveError where there is no device, with what to do instead. *backend* names one of miniaudio's audio
    systems ("pulseaudio", "alsa", "null" ...); without it the usual ones of this machine are tried.
    """
    import_miniaudio()
    if soundfont is not None:
        from handgroove.output.sound.soundfont import read_soundfont

        read_soundfont(soundfont)  # so that a wrong file is refused here, in the usual words
    # A process inherits no tables and no locks this way, on every system alike.
    command = [sys.executable, "-m", __name__, str(soundfont or ""), backend]
    child = subprocess.Popen(
        command, bufsize=0, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    )
    answer = _read_line(child)
    if answer.startswith("ready "):
        return SoundPort(child, f"sound ({answer.removeprefix('ready ')})")
    child.kill()
    child.wait()
    for pipe in (child.stdin, child.stdout):
        if pipe is not None:
            pipe.close()
    reason = answer.removeprefix("failed ") or "it did not answer"
    raise HandgrooveError(
        Problem("--sound", f"no sound can be played here: {reason}", remedy=_NO_DEVICE_REMEDY)
    )


def _read_line(child: subprocess.Popen[bytes]) -> str:
    """Return the child's first line; empty if it has none within its time."""
    found: list[bytes] = []
    assert child.stdout is not None
    reader = threading.Thread(
        target=lambda out: found.append(out.readline()), args=(child.stdout,), daemon=True
    )
    reader.start()
    reader.join(READY_SEC)
    return found[0].decode(errors="replace").strip() if found else ""


def play(
    sampler: Any, now: Callable[[], float], arrived: deque[tuple[float, bytes]]
) -> Generator[Frames, int, None]:
    """Yield each block that the device asks for. *arrived* holds messages and when they came, by *now*.

    A message acts as far into a block as it came into the time of the block before: late by one block, always.
    """
    count = yield sampler.render(0)
    before = now()
    while True:
        begin = now()
        while arrived:
            came, message = arrived.popleft()
            sampler.send(message, min(max(0, round((came - before) * RATE)), count - 1))
        before = begin
        count = yield sampler.render(count)


def _serve(soundfont: str, backend: str) -> None:
    """Be the child: open the device, say so, and play what comes in until the pipe is closed."""
    import gc
    import signal

    from handgroove.clock import RealClock
    from handgroove.output.sound.instrument import read_instrument
    from handgroove.output.sound.sampler import Sampler

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the parent, which then closes the pipe
    miniaudio = import_miniaudio()
    systems = [b for b in miniaudio.Backend if b.name == backend.upper()] or [
        b for b in miniaudio.Backend if b.name not in ("NULL", "CUSTOM", "WEBAUDIO")
    ]
    clock = RealClock()
    sampler = Sampler(read_instrument(Path(soundfont) if soundfont else None))
    arrived: deque[tuple[float, bytes]] = deque()
    blocks = play(sampler, clock.now, arrived)
    next(blocks)
    gc.collect()
    gc.freeze()
    gc.disable()
    device = miniaudio.PlaybackDevice(
        miniaudio.SampleFormat.FLOAT32,
        2,
        RATE,
        PERIOD_MS,
        callback_periods=2,
        backends=systems,
        app_name="handgroove",
    )
    with device:
        device.start(blocks)
        sys.stdout.write(f"ready {device.backend}\n")
        sys.stdout.flush()
        _take(lambda: os.read(sys.stdin.fileno(), 3 * 256), arrived, clock.now)
        arrived.append((0.0, b"\xb0\x7b\x00"))
        clock.rest(0.3)


def _take(read: Callable[[], bytes], arrived: deque[tuple[float, bytes]], now: Callable[[], float]) -> None:
    """Put what *read* gives into *arrived*, until it gives nothing more."""
    rest = b""
    while chunk := read():
        came = now()
        rest += chunk
        whole = len(rest) // 3 * 3
        arrived.extend((came, rest[at : at + 3]) for at in range(0, whole, 3))
        rest = rest[whole:]


if __name__ == "__main__":
    try:
        _serve(*sys.argv[1:3])
    except HandgrooveError as error:
        sys.stdout.write(f"failed {error.problems[0].text}\n")
    except Exception as error:  # an audio system can fail in any way; the musician is told in one line
        sys.stdout.write(f"failed no audio device answers ({type(error).__name__})\n")
