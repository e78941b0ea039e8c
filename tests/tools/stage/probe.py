"""The measuring end: strikes drums, presses keys, and listens, all on one thread."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from time import perf_counter, sleep

from handgroove.live.core.messages import Message, is_note_off, is_note_on
from handgroove.live.shell.midi_ports import InPort, MidiSystem, OutPort, PortError, find_port

_LEAST_SEC = 0.0003  # no answer can come sooner: what comes sooner answers the hit before
_FIND_SEC = 20.0
DRUMS = (36, 38, 42, 46, 51, 49, 45, 48, 43, 37, 54, 60)


def percentile(values: list[float], quantile: float) -> float:
    """Return the value that *quantile* (0 to 1) of *values* do not exceed; 0.0 without any."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(quantile * len(ordered)))] if ordered else 0.0


@dataclass
class Heard:
    """What came back: delays of first answers in seconds, and the account of sounding keys."""

    delays_sec: list[float] = field(default_factory=list)
    sounding: set[tuple[int, int]] = field(default_factory=set)
    begun: int = 0
    wrong: int = 0
    times: list[tuple[float, Message]] = field(default_factory=list)

    def take(self, message: Message, sec: float, *, keeps: bool = False) -> None:
        """Count a message that came at *sec*."""
        key = (message[0] & 0x0F, message[1] if len(message) > 1 else 0)
        if is_note_on(message):
            self.begun += 1
            self.wrong += key in self.sounding
            self.sounding.add(key)
        elif is_note_off(message):
            self.wrong += key not in self.sounding
            self.sounding.discard(key)
        if keeps:
            self.times.append((sec, message))


class Probe:
    """Sends to the port called *target* and listens to the port called *answers*."""

    def __init__(self, system: MidiSystem, target: str, answers: str) -> None:
        self.heard = Heard()
        self.out: OutPort = system.open_output(wait_for(target, system.outputs), "probe hits")
        self.back: InPort = system.open_input(wait_for(answers, system.inputs), "probe hears")

    def strike(self, hits_a_second: float, seconds: float, seed: int, extra: Callable[[float], None]) -> None:
        """Strike drums at random for *seconds*; *extra* is called with the time before each hit."""
        rng = random.Random(seed)
        start_sec = perf_counter()
        next_sec, sent_sec, answered = start_sec, 0.0, True
        while (now := perf_counter()) - start_sec < seconds:
            while (got := self.back.poll()) is not None:
                message, at = got[0], perf_counter()
                self.heard.take(message, at)
                if is_note_on(message) and not answered and at - sent_sec > _LEAST_SEC:
                    answered = True
                    self.heard.delays_sec.append(at - sent_sec)
            if now >= next_sec:
                extra(now)
                next_sec += 1 / hits_a_second * rng.uniform(0.8, 1.2)
                sent_sec, answered = perf_counter(), False
                self.out.send((0x99, rng.choice(DRUMS), rng.randint(20, 127)))
            sleep(0.0001)
        self.listen(0.5)

    def listen(self, seconds: float, *, keeps: bool = False) -> None:
        """Hear what comes for *seconds*."""
        until_sec = perf_counter() + seconds
        while perf_counter() < until_sec:
            while (got := self.back.poll()) is not None:
                self.heard.take(got[0], perf_counter(), keeps=keeps)
            sleep(0.0001)

    def close(self) -> None:
        """Close both ports."""
        self.out.close()
        self.back.close()


def wait_for(name: str, names: Callable[[], list[str]]) -> str:
    """Return the full name of the port called *name*, waiting until it is there."""
    until_sec = perf_counter() + _FIND_SEC
    while True:
        try:
            return find_port(name, names())
        except PortError:
            if perf_counter() > until_sec:
                raise
            sleep(0.05)
