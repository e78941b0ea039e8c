"""The engine's wires to the world: lines in and outlets out, each of which may lose its port and get it back."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

from handgroove.live.core.messages import (
    ALL_NOTES_OFF,
    SUSTAIN,
    Message,
    control,
    is_note_off,
    is_note_on,
    note_off,
)
from handgroove.live.core.stage import Sink, Source
from handgroove.live.shell.midi_ports import InPort, MidiSystem, OutPort, find_port

Port = TypeVar("Port", InPort, OutPort)
MOST_UNECHOED = 1500  # a JACK port's ring takes some 2,340 notes; when it is full, sending never returns
MOST_HELD = 4096
_OLDEST_SEC = 0.05
_DRIFT = 1e-4  # how fast the anchor may creep, so that two clocks may drift apart


@dataclass(frozen=True, slots=True)
class PortWish:
    """Which port is wanted: by *name* or part of it, or, without one, a virtual port of our own."""

    name: str = ""


def own_name(end: str) -> str:
    """Return how others see the port for *end* ("drums", "piano")."""
    return f"Handgroove {end}"


class EventTime:
    """Finds when messages arrived from the seconds between them, anchored by the least delay seen."""

    __slots__ = ("_anchor_sec", "_passed_sec")

    def __init__(self) -> None:
        self._passed_sec = 0.0
        self._anchor_sec: float | None = None

    def stamp(self, delta_sec: float, polled_sec: float) -> float:
        """Return when the message polled at *polled_sec* arrived, *delta_sec* after the one before it."""
        self._passed_sec += delta_sec
        anchor_sec = polled_sec - self._passed_sec
        if self._anchor_sec is not None:
            anchor_sec = min(anchor_sec, self._anchor_sec + _DRIFT * delta_sec)
        sec = anchor_sec + self._passed_sec
        if polled_sec - sec > _OLDEST_SEC:  # the port's own time cannot be right: start anew
            anchor_sec = polled_sec - self._passed_sec
            sec = polled_sec
        self._anchor_sec = anchor_sec
        return sec


class _End(Generic[Port]):
    """One of our ends, for the port that is wished for; others see it by its *name*."""

    def __init__(self, name: str, wish: PortWish) -> None:
        self.name = name
        self.wish = wish
        self.port: Port | None = None
        self.port_name = ""

    def _open(
        self, names: Callable[[], list[str]], find: Callable[[str, str], Port], make: Callable[[str], Port]
    ) -> None:
        """Open the port; raise PortError when it is not among *names*."""
        own = own_name(self.name)
        if self.wish.name:
            self.port_name = find_port(self.port_name or self.wish.name, names())
            self.port = find(self.port_name, own)
        else:
            self.port_name = own
            self.port = make(own)

    def close(self) -> None:
        """Close the port."""
        if self.port is not None:
            self.port.close()
            self.port = None

    def is_there(self, names: list[str]) -> bool:
        """Return whether the port is among *names*; a virtual one is ours and stays."""
        return not self.wish.name or self.port_name in names


class Wire(_End[InPort]):
    """An input: messages of one *source* from the port that is wished for."""

    def __init__(self, source: Source, wish: PortWish) -> None:
        super().__init__(source.value, wish)
        self.source = source
        self.time = EventTime()

    def open(self, system: MidiSystem) -> None:
        """Open the port; raise PortError when it is not there."""
        self._open(system.inputs, system.open_input, system.make_input)
        self.time = EventTime()


class Outlet(_End[OutPort]):
    """An output: messages for one or more *sinks*. What could not be ended is owed until the port is back."""

    def __init__(self, sinks: frozenset[Sink], wish: PortWish) -> None:
        super().__init__(next(sink.value for sink in Sink if sink in sinks), wish)
        self.sinks = sinks
        self.dropped = 0
        self._sounding: set[tuple[int, int]] = set()  # what the far end has heard begin and not end
        self._held: deque[Message] = deque()
        self._unechoed = 0
        self._dead: OutPort | None = None

    def open(self, system: MidiSystem) -> None:
        """Open the port and end there what was sounding when it went; raise PortError when it is not there."""
        self._open(system.outputs, system.open_output, system.make_output)
        self._unechoed = 0
        self._held.clear()
        self._settle()

    def _settle(self) -> None:
        """End at the far end what it still holds."""
        port = self.port
        if port is None or not self._sounding:
            return
        for channel, pitch in sorted(self._sounding):
            port.send(note_off(channel, pitch))
        for channel in sorted({channel for channel, _ in self._sounding}):
            port.send(control(channel, SUSTAIN, 0))
            port.send(control(channel, ALL_NOTES_OFF, 0))
        self._sounding.clear()

    def send(self, message: Message) -> None:
        """Send *message*, or hold it while the server is behind; without a port it goes nowhere."""
        if self.port is None:
            return
        if self._held or self._unechoed >= MOST_UNECHOED:
            self._hold(message)
            return
        self._unechoed += 1
        self.port.send(message)
        if is_note_on(message):
            self._sounding.add((message[0] & 0x0F, message[1]))
        elif is_note_off(message):
            self._sounding.discard((message[0] & 0x0F, message[1]))

    def _hold(self, message: Message) -> None:
        if len(self._held) < MOST_HELD or not is_note_on(message):
            self._held.append(message)
        else:
            self.dropped += 1
        while len(self._held) > 2 * MOST_HELD:
            self._held.popleft()
            self.dropped += 1

    def echoed(self) -> None:
        """Go on: the server has been seen to carry what was sent."""
        self._unechoed = 0
        while self._held and self._unechoed < MOST_UNECHOED:
            held, self._held = self._held, deque()
            while held and self._unechoed < MOST_UNECHOED:
                self.send(held.popleft())
            self._held = held

    def cut(self) -> None:
        """Send nothing more to the port, whose server is dead: sending might never return."""
        self._dead, self.port = self.port, None
        self._held.clear()

    def lose(self) -> None:
        """Count the port as gone: what sounds there is owed."""
        self.port = self.port or self._dead
        self._dead = None
        self._held.clear()
        self.close()
