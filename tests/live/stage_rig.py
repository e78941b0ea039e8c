"""A stage for tests: an engine on pretended time, and an account of what the far end hears."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from handgroove.groove.kit import Piece
from handgroove.hands.guard import Guard
from handgroove.hands.player import Player
from handgroove.harmony.chart import parse_chart
from handgroove.harmony.find.live_chords import LiveChords
from handgroove.host.fence import Fence
from handgroove.host.links import Link
from handgroove.live.core.engine import Engine
from handgroove.live.core.loops import Playable
from handgroove.live.core.messages import Message, is_note_off, is_note_on
from handgroove.live.core.stage import Bindings, Out, Setup, Sink, Source
from handgroove.live.shell.prepare import prepare_pattern, prepare_placing
from handgroove.patterns import read_pattern
from handgroove.strike import Hand, Role, Strike
from tests.live.pretended import OpenHands, PretendedClock
from tests.styles import every_hat, with_style

CHART = "| Am7 | Fmaj7 | C | G7 |"


@dataclass
class FarEnd:
    """Hears what goes out and keeps account: *sounding* keys, and *wrong*, what no engine may do."""

    heard: list[tuple[float, Message]] = field(default_factory=list)
    clocks: list[tuple[float, Message]] = field(default_factory=list)
    sounding: dict[tuple[int, int], float] = field(default_factory=dict)
    pedals: dict[tuple[int, int], int] = field(default_factory=dict)
    wrong: list[str] = field(default_factory=list)
    begun: int = 0

    def hear(self, out: Sequence[Out], sec: float) -> None:
        """Take what goes out at *sec*."""
        for sink, message in out:
            if sink is Sink.CLOCK:
                self.clocks.append((sec, message))
                continue
            self.heard.append((sec, message))
            key = (
                message[0] & 0x0F | (0x10 if sink is Sink.CLICK else 0),
                message[1] if len(message) > 1 else 0,
            )
            if is_note_on(message):
                self.begun += 1
                if key in self.sounding:
                    self.wrong.append(f"{key} begun twice at {sec}")
                self.sounding[key] = sec
            elif is_note_off(message):
                if key not in self.sounding:
                    self.wrong.append(f"{key} ended without sounding at {sec}")
                self.sounding.pop(key, None)
            elif message[0] & 0xF0 == 0xB0 and message[1] in (64, 66, 67):
                self.pedals[key] = message[2]

    def notes(self) -> list[tuple[float, int, int]]:
        """Return the notes begun, as (second, pitch, velocity)."""
        return [(sec, message[1], message[2]) for sec, message in self.heard if is_note_on(message)]

    def pitches(self) -> list[int]:
        """Return the pitches begun, in order."""
        return [pitch for _, pitch, _ in self.notes()]


class Rig:
    """An engine and its far end, driven second by second; its patterns comp in *style*, by each stroke unless asked."""

    def __init__(
        self,
        *,
        patterns: Sequence[str] = ("straight eighths", "swing ride"),
        chart: str = CHART,
        guard: Guard | None = None,
        bindings: Bindings | None = None,
        extra: Sequence[Playable] = (),
        plays: bool = True,
        timer: PretendedClock | None = None,
        style: str = "every hat",
        **setup: Any,
    ) -> None:
        self.clock = timer or PretendedClock()
        self.fence = Fence(self.clock)
        playables = [
            *extra,
            *(
                prepare_pattern(with_style(read_pattern(name), style), self.fence, plays=plays)
                for name in patterns
            ),
        ]
        settings = read_pattern(next(iter(patterns), "straight eighths")).harmony
        placing = prepare_placing(parse_chart(chart) if chart else None, settings, playables[0].metre)
        self.engine = Engine(
            Setup(**{"tempo_bpm": 120.0, **setup}),
            playables,
            placing,
            guard or OpenHands(),
            0.0,
            ear=LiveChords(),
            bindings=bindings,
        )
        self.far = FarEnd()
        self.now_sec = 0.0

    def advance(self, sec: float) -> None:
        """Let time pass up to *sec*, stopping wherever the engine wants to do something."""
        while (due := self.engine.next_sec()) is not None and due <= sec:
            self.now_sec = max(self.now_sec, due)
            self.far.hear(self.engine.advance(due), due)
        self.now_sec = max(self.now_sec, sec)
        self.far.hear(self.engine.advance(sec), sec)

    def take(self, source: Source, message: Message, sec: float | None = None) -> None:
        """Let *message* come in at *sec* (default: now)."""
        sec = self.now_sec if sec is None else sec
        self.advance(sec)
        self.far.hear(self.engine.take(source, message, sec), sec)

    def hit(self, note: int, sec: float, velocity: int = 100) -> None:
        """Let a drum be struck."""
        self.take(Source.DRUMS, (0x99, note, velocity), sec)

    def close(self) -> None:
        """End the session."""
        self.far.hear(self.engine.close(), self.now_sec)


def real_guard() -> Guard:
    """Return the causal guard of an ordinary player."""
    return Guard(Player())


class Faulty:
    """A translator that does what *what* says, on every *every*-th call."""

    name = "faulty"
    summary = "fails"
    settings_model = None

    def __init__(self, what: str, clock: PretendedClock, every: int = 1) -> None:
        self.what, self.clock, self.every, self.calls = what, clock, every, 0

    def strikes(self, hit: Any, moment: Any) -> Any:
        """Answer, or fail."""
        self.calls += 1
        good = [Strike((60, 64), 80, Hand.RIGHT, Role.COMPING, 4000)]
        if self.calls % self.every:
            return good
        if self.what == "raise":
            raise RuntimeError("no idea")
        if self.what == "slow":
            self.clock.rest(0.02)
            return good
        if self.what == "nonsense":
            return [Strike((300,), 80, Hand.RIGHT, Role.COMPING, 100)]
        if self.what == "not strikes":
            return ["C major"]
        if self.what == "none":
            return None
        return good


def faulty_pattern(
    what: str, clock: PretendedClock, pieces: frozenset[Piece], every: int = 2, *, plays: bool = True
) -> Playable:
    """Return a pattern whose translator for *pieces* fails as *what* says, the rest played as usual."""
    usual = prepare_pattern(every_hat(), Fence(clock), plays=plays)
    bad: Any = Fence(clock).around(Faulty(what, clock, every))
    links = (Link("faulty", pieces, bad), *usual.links)
    return Playable(
        "with a fault", links, usual.levels, usual.timeline, usual.loop, usual.fills, usual.tempo_bpm
    )
