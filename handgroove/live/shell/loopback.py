"""A MIDI system inside the process, for tests and for trying things without a MIDI server.

What is sent to an output arrives at once at every input that listens to it. Ports can be made to vanish and the
whole system to die, so that what happens then can be tested.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

from handgroove.errors import Problem
from handgroove.live.core.messages import Message
from handgroove.live.shell.midi_ports import QUEUE_MESSAGES, PortError


class LoopbackIn:
    """An input port; *lost* counts what came while it was full."""

    def __init__(self, name: str, now: Callable[[], float]) -> None:
        self.name = name
        self.lost = 0
        self._now = now
        self._queue: deque[tuple[Message, float]] = deque()
        self._last_sec: float | None = None

    def receive(self, message: Message) -> None:
        """Take a message that somebody sent."""
        sec = self._now()
        delta = 0.0 if self._last_sec is None else sec - self._last_sec
        self._last_sec = sec
        if len(self._queue) >= QUEUE_MESSAGES:
            self.lost += 1
            return
        self._queue.append((message, delta))

    def poll(self) -> tuple[Message, float] | None:
        """Return the next message and the seconds since the one before it, or None if there is none."""
        return self._queue.popleft() if self._queue else None

    def close(self) -> None:
        """Close the port."""
        self._queue.clear()


class LoopbackOut:
    """An output port; *sent* keeps what went out, as (second, message)."""

    def __init__(self, name: str, now: Callable[[], float]) -> None:
        self.name = name
        self.sent: list[tuple[float, Message]] = []
        self.listeners: list[LoopbackIn] = []
        self._now = now

    def send(self, message: Message) -> None:
        """Send one whole message."""
        self.sent.append((self._now(), tuple(message)))
        for listener in self.listeners:
            listener.receive(tuple(message))

    def close(self) -> None:
        """Close the port."""
        self.listeners.clear()


class LoopbackSystem:
    """A MIDI system of ports in this process. *sources* and *sinks* are others' ports, by name."""

    def __init__(self, now: Callable[[], float]) -> None:
        self.name = "loopback"
        self.makes_ports = True
        self.outlives_server = True
        self.sources: dict[str, LoopbackOut] = {}
        self.sinks: dict[str, LoopbackIn] = {}
        self.is_dead = False
        self._now = now

    def add_source(self, name: str) -> LoopbackOut:
        """Add somebody's port that can be received from, and return the end that they send on."""
        return self.sources.setdefault(name, LoopbackOut(name, self._now))

    def add_sink(self, name: str) -> LoopbackIn:
        """Add somebody's port that can be sent to, and return the end that they listen on."""
        return self.sinks.setdefault(name, LoopbackIn(name, self._now))

    def is_up(self) -> bool:
        """Return whether the system runs."""
        return not self.is_dead

    def forget(self) -> None:
        """Do nothing: there is no server."""

    def _check(self) -> None:
        if self.is_dead:
            raise PortError(Problem("", "no MIDI: the loopback system was ended"))

    def inputs(self) -> list[str]:
        """Return the names of the ports that messages can be received from."""
        self._check()
        return list(self.sources)

    def outputs(self) -> list[str]:
        """Return the names of the ports that messages can be sent to."""
        self._check()
        return list(self.sinks)

    def open_input(self, port: str, own_name: str) -> LoopbackIn:
        """Open the port whose full name is *port*."""
        self._check()
        if port not in self.sources:
            raise PortError(Problem("", f"expected the MIDI port {port!r}, but it is gone"))
        opened = LoopbackIn(own_name, self._now)
        self.sources[port].listeners.append(opened)
        return opened

    def open_output(self, port: str, own_name: str) -> LoopbackOut:
        """Open the port whose full name is *port*."""
        self._check()
        if port not in self.sinks:
            raise PortError(Problem("", f"expected the MIDI port {port!r}, but it is gone"))
        opened = LoopbackOut(own_name, self._now)
        opened.listeners.append(self.sinks[port])
        return opened

    def make_input(self, own_name: str) -> LoopbackIn:
        """Make a port that others can send to: it appears among the sinks."""
        self._check()
        return self.add_sink(own_name)

    def make_output(self, own_name: str) -> LoopbackOut:
        """Make a port that others can receive from: it appears among the sources."""
        self._check()
        return self.add_source(own_name)
