"""The thin shell around the engine: one thread that polls the ports, sends what is to be sent, and waits.

Nothing else in this process runs while music is made: port watching and telling the screen are short chores done
between two due times, and anything heavy lives in a sidecar.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Sequence
from typing import Protocol

from handgroove.clock import SPIN_SEC, Clock
from handgroove.live.core.engine import Engine
from handgroove.live.core.messages import Message
from handgroove.live.core.stage import Out, Sink, Source
from handgroove.live.shell.midi_ports import MidiSystem, PortError
from handgroove.live.shell.pulse import Pulse
from handgroove.live.shell.wires import Outlet, Wire

POLL_SEC = 0.0005
DONE, ANEW = -1, -2  # why it stopped, where no signal did: asked to, or to begin anew in a new process
_BATCH = 32  # messages taken from one line before due notes get their turn
_WATCH_SEC = 0.5
_SAMPLES = 8192
_SHORTEST_REST_SEC = 1e-6
_REHEARSE_SEC = 2.0  # so long after a hit the way to its answer is kept warm
_ROOM_SEC = 0.0015  # a chore waits for this much time before the next due thing ...
_PATIENCE_SEC = 0.1  # ... but no longer than this
_MOST_FAILURES = 20
_CALM_SEC = 60.0


class Taper(Protocol):
    """Keeps what comes in and goes out."""

    def new_take(self, sec: float, tempo_bpm: float) -> None:
        """Begin a new take at *sec*."""

    def note_in(self, source: Source, message: Message, sec: float) -> None:
        """Keep a message that came in at *sec*."""

    def note_out(self, sink: Sink, message: Message, sec: float) -> None:
        """Keep a message that went out at *sec*."""


class Samples:
    """The last few thousand measured seconds, in a ring that never grows."""

    __slots__ = ("_count", "_ring")

    def __init__(self) -> None:
        self._ring = array("d", bytes(8 * _SAMPLES))
        self._count = 0

    def add(self, sec: float) -> None:
        """Keep one."""
        self._ring[self._count % _SAMPLES] = sec
        self._count += 1

    def __len__(self) -> int:
        return self._count

    @property
    def last(self) -> float:
        """Return the newest sample, 0.0 before the first."""
        return self._ring[(self._count - 1) % _SAMPLES] if self._count else 0.0

    def share(self, quantile: float) -> float:
        """Return the sample that *quantile* (0 to 1) of the last ones do not exceed; 0.0 without any."""
        kept = sorted(self._ring[: min(self._count, _SAMPLES)])
        return kept[min(len(kept) - 1, int(quantile * len(kept)))] if kept else 0.0


class Chore:
    """Something short that is done every *period_sec*, when there is room for it."""

    __slots__ = ("_do", "_next_sec", "_period_sec")

    def __init__(self, period_sec: float, do: Callable[[float], None]) -> None:
        self._period_sec = period_sec
        self._do = do
        self._next_sec = 0.0

    def run(self, sec: float, room_sec: float) -> bool:
        """Do it if it is time and there is room, or if it has waited too long; return whether it was done."""
        late_sec = sec - self._next_sec
        if late_sec < 0 or (room_sec < _ROOM_SEC and late_sec < _PATIENCE_SEC):
            return False
        self._next_sec = sec + self._period_sec
        self._do(sec)
        return True


class Shell:
    """Runs *engine* on *clock* between *lines* and *outlets* of *system*."""

    def __init__(  # noqa: PLR0913  (each is one end of the shell)
        self,
        engine: Engine,
        clock: Clock,
        system: MidiSystem,
        lines: Sequence[Wire],
        outlets: Sequence[Outlet],
        *,
        pulse: Pulse | None = None,
        taper: Taper | None = None,
        extra: Callable[[Out], None] | None = None,
        rehearse: Callable[[], None] | None = None,
    ) -> None:
        self.engine = engine
        self.clock = clock
        self.system = system
        self.lines = list(lines)
        self.outlets = list(outlets)
        self.own_share = Samples()
        self.lateness = Samples()
        self.server_is_up = True
        self.stopped_by = 0
        self._pulse = pulse
        self._taper = taper
        self._extra = extra
        self._rehearse = rehearse
        self._rehearse_until_sec = 0.0
        self._rests = 0
        self._by_sink = {sink: outlet for outlet in self.outlets for sink in outlet.sinks}
        self._chores = [Chore(_WATCH_SEC, self._watch)]
        if pulse is not None:
            self._chores.append(Chore(0.02, self._feel_pulse))
        self._failures: list[float] = []
        self._taped_starts = -1
        self._holds_dead_ports = False

    def add_chore(self, period_sec: float, do: Callable[[float], None]) -> None:
        """Have *do*, given the time, done every *period_sec*."""
        self._chores.append(Chore(period_sec, do))

    def open(self) -> None:
        """Open every port; raise PortError, with all ports closed again, when one is not there."""
        try:
            if self._pulse is not None:
                self._pulse.open(self.system)
            for outlet in self.outlets:
                outlet.open(self.system)
            for line in self.lines:
                line.open(self.system)
        except PortError:
            self._close_ports()
            raise

    def _close_ports(self) -> None:
        if self._holds_dead_ports and not self.system.outlives_server:
            return
        for line in self.lines:
            line.close()
        for outlet in self.outlets:
            outlet.close()
        if self._pulse is not None:
            self._pulse.close()

    # ---- the loop ----------------------------------------------------------------------------------------

    def run(self) -> None:
        """Play until something sets *stopped_by*; then end every note, release the pedals and close the ports."""
        try:
            while not self.stopped_by:
                self.step()
        finally:
            self.close()

    def close(self) -> None:
        """End every note, release the pedals and close the ports."""
        self.send(self._safely(self.engine.close), self.clock.now())
        for outlet in self.outlets:
            outlet.echoed()
        self._close_ports()

    def step(self) -> None:
        """Take what has come, send what is due, do a chore if there is room, and wait a little."""
        clock, engine = self.clock, self.engine
        for line in self.lines:
            self._take_from(line)
        now = clock.now()
        self.send(self._safely(engine.advance, now), now)
        due_sec = engine.next_sec()
        now = clock.now()
        room_sec = 1.0 if due_sec is None else due_sec - now
        for chore in self._chores:
            if chore.run(now, room_sec):
                break
        due_sec = engine.next_sec()
        rest_sec = POLL_SEC if due_sec is None else min(POLL_SEC, due_sec - now - SPIN_SEC)
        if due_sec is None or rest_sec > _SHORTEST_REST_SEC:
            clock.rest(rest_sec)
            self._rests += 1
            wanted = now < self._rehearse_until_sec and room_sec > _ROOM_SEC and self._rests % 2 == 0
            if wanted and self._rehearse is not None:
                self._rehearse()
            return
        clock.wait_until(due_sec)
        now = clock.now()
        self.lateness.add(now - due_sec)
        self.send(self._safely(engine.advance, now), now)

    def _take_from(self, line: Wire) -> None:
        port = line.port
        if port is None:
            return
        now = self.clock.now
        for _ in range(_BATCH):
            got = port.poll()
            if got is None:
                return
            polled_sec = now()
            message, delta_sec = got
            sec = line.time.stamp(delta_sec, polled_sec)
            out = self._safely(self.engine.take, line.source, message, sec)
            if out and line.source is Source.DRUMS:
                self._rehearse_until_sec = polled_sec + _REHEARSE_SEC
            self.send(out, sec)
            self.own_share.add(now() - polled_sec)
            if self._taper is not None:  # after the answer, which must not wait for it
                self._taper.note_in(line.source, message, sec)

    def send(self, out: list[Out], sec: float) -> None:
        """Send *out*, which belongs to *sec*, to its outlets."""
        for item in out:
            sink, message = item
            outlet = self._by_sink.get(sink)
            if outlet is not None:
                outlet.send(message)
            if self._extra is not None:
                self._extra(item)
        if self._taper is not None and out:
            self._tape(self._taper, out, sec)

    def _tape(self, taper: Taper, out: list[Out], sec: float) -> None:
        if self.engine.starts != self._taped_starts:
            self._taped_starts = self.engine.starts
            taper.new_take(sec, self.engine.conductor.tempo_bpm)
        for sink, message in out:
            taper.note_out(sink, message, sec)

    def _safely(self, do: Callable[..., list[Out]], *arguments: object) -> list[Out]:
        """Return what *do* returns; if it fails, end every note, say so, and play on."""
        try:
            return do(*arguments)
        except Exception as error:  # whatever it is, no note may be left sounding
            now = self.clock.now()
            self._failures = [sec for sec in self._failures if now - sec < _CALM_SEC] + [now]
            self.engine.accounts.tell(f"something failed ({type(error).__name__}: {error}); all notes off")
            if len(self._failures) > _MOST_FAILURES:
                raise
            return self.engine.end_all()

    # ---- chores ------------------------------------------------------------------------------------------

    def _feel_pulse(self, sec: float) -> None:
        pulse = self._pulse
        if pulse is None or not self.server_is_up:
            return
        if pulse.beat(sec):
            for outlet in self.outlets:
                outlet.echoed()
        if pulse.is_dead:
            self._lose_server()

    def _lose_server(self) -> None:
        """Count the server as gone. Its ports are let go later: that may take seconds, and telling comes first."""
        self.server_is_up = False
        self._holds_dead_ports = True
        self.engine.accounts.tell(
            f"the MIDI server ({self.system.name}) has gone; waiting for it to come back"
        )
        for outlet in self.outlets:
            outlet.cut()
        self.send(self.engine.end_all(), self.clock.now())
        for line in self.lines:
            self.send(self.engine.lose(line.source), self.clock.now())

    def _let_go_of_dead_ports(self) -> None:
        self._holds_dead_ports = False
        for line in self.lines:
            line.close()
        for outlet in self.outlets:
            outlet.lose()
        if self._pulse is not None:
            self._pulse.close()
        self.system.forget()

    def _watch(self, sec: float) -> None:
        """See whether ports have gone or come back."""
        try:
            if self._holds_dead_ports:
                if self.system.outlives_server:
                    self._let_go_of_dead_ports()
                elif self.system.is_up():
                    self.stopped_by = ANEW
                return
            if not self.server_is_up:
                self._regain_server()
                return
            self._watch_ends(self.lines, self.system.inputs, sec)
            self._watch_ends(self.outlets, self.system.outputs, sec)
        except PortError as error:
            if self.server_is_up and self._pulse is None:
                self.engine.accounts.tell(f"MIDI: {error.problems[0].text}")

    def _watch_ends(self, ends: Sequence[Wire | Outlet], find: Callable[[], list[str]], sec: float) -> None:
        named = [end for end in ends if end.wish.name]
        names = find() if named else []
        for end in named:
            if end.port is not None and not end.is_there(names):
                if isinstance(end, Wire):
                    end.close()
                    self.send(self.engine.lose(end.source), sec)
                else:
                    end.lose()
                self.engine.accounts.tell(f"{end.name}: {end.port_name} has gone")
            elif end.port is None and end.is_there(names):
                end.open(self.system)
                self.engine.accounts.tell(f"{end.name}: {end.port_name} is back")

    def _regain_server(self) -> None:
        if not self.system.is_up():
            return
        self.open()
        self.server_is_up = True
        self.engine.accounts.tell(f"the MIDI server ({self.system.name}) is back")
