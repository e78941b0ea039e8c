"""Seeing within a second that the MIDI server has died.

A dead JACK server says nothing: its port lists stay, and what is sent fills a ring until sending never returns. So a
pulse is sent through the server to ourselves, and when three in a row do not come back, it is dead.
"""

from __future__ import annotations

from handgroove.live.core.messages import ACTIVE_SENSING
from handgroove.live.shell.midi_ports import InPort, MidiSystem, OutPort, find_port

PERIOD_SEC = 0.15
_UNANSWERED = 3
_NAME = "Handgroove pulse"


class Pulse:
    """Sends a pulse through *system* some seven times a second."""

    def __init__(self) -> None:
        self._out: OutPort | None = None
        self._in: InPort | None = None
        self._next_sec = 0.0
        self._unanswered = 0

    def open(self, system: MidiSystem) -> None:
        """Open the two ports; raise PortError when the server is not there."""
        before = set(system.inputs())
        self._out = system.make_output(_NAME)
        fresh = [name for name in system.inputs() if _NAME in name and name not in before]
        self._in = system.open_input(
            fresh[0] if fresh else find_port(_NAME, system.inputs()), f"{_NAME} back"
        )
        self._unanswered = 0

    def beat(self, sec: float) -> bool:
        """Send a pulse when it is time; return whether one has come back."""
        if self._out is None or self._in is None:
            return False
        came_back = False
        while self._in.poll() is not None:
            came_back = True
            self._unanswered = 0
        if sec >= self._next_sec and not self.is_dead:
            self._next_sec = sec + PERIOD_SEC
            self._unanswered += 1
            self._out.send((ACTIVE_SENSING,))
        return came_back

    @property
    def is_dead(self) -> bool:
        """Return whether the server no longer carries messages."""
        return self._unanswered > _UNANSWERED

    def close(self) -> None:
        """Close the ports."""
        for port in (self._in, self._out):
            if port is not None:
                port.close()
        self._in = self._out = None
