"""Soaks: a simulated hour with faults, and real minutes on a JACK server. What may not happen is counted."""

from __future__ import annotations

import random
import tracemalloc
from pathlib import Path
from tempfile import TemporaryDirectory
from time import sleep
from typing import Any

from handgroove.groove.kit import GENERAL_MIDI
from handgroove.hands.guard import Guard
from handgroove.hands.player import Player
from handgroove.harmony.chart import parse_chart
from handgroove.harmony.find.live_chords import LiveChords
from handgroove.host.fence import Fence
from handgroove.live.core.changes import Action, At, StageChange
from handgroove.live.core.engine import Engine
from handgroove.live.core.loops import Playable
from handgroove.live.core.stage import Out, Setup, Sink, Source
from handgroove.live.shell.midi_ports import open_system
from handgroove.live.shell.prepare import prepare_pattern, prepare_placing
from handgroove.patterns import read_pattern
from handgroove.strike import Hand, Role, Strike
from tests.live.pretended import PretendedClock
from tests.tools.stage.probe import DRUMS, Heard
from tests.tools.stage.run import CHART, CHORDS, STAGE_PORTS, _player, _probe
from tests.tools.stage.server import dummy_server
from tests.tools.stage.stage_process import Stage

_VALUES = {
    Action.PATTERN: ("next", "previous", "no such pattern"),
    Action.SECTION: ("next", "again"),
    Action.FILL: ("", "down the toms"),
    Action.TRANSPOSE: ("up", "down", "0", "x"),
    Action.HANDS: ("left", "right", "both", "next"),
    Action.VOLUME: ("up", "down", "100"),
    Action.TEMPO: ("96", "140", "up"),
    Action.TAP: ("",),
    Action.START: ("",),
    Action.STOP: ("",),
    Action.NOTES_OFF: ("",),
}


class _Failing:
    """A translator that raises, takes too long, or answers nonsense, once in a while."""

    name = "failing"
    summary = "fails once in a while"

    def __init__(self, clock: PretendedClock, rng: random.Random) -> None:
        self._clock, self._rng = clock, rng

    def strikes(self, hit: Any, moment: Any) -> Any:
        """Answer a long note, or fail."""
        chance = self._rng.random()
        if chance < 0.01:
            raise RuntimeError("a fault for the soak")
        if chance < 0.02:
            self._clock.rest(0.2)
        return [
            Strike(
                (72 if chance > 0.03 else 200,), 70, Hand.RIGHT, Role.COLOUR, 9600, until_next=chance > 0.5
            )
        ]


def _pattern_with_faults(number: int, clock: PretendedClock, fence: Fence, rng: random.Random) -> Playable:
    from dataclasses import replace

    pattern = prepare_pattern(read_pattern("straight eighths"), fence)
    name = f"failing {number}"
    links = tuple(
        replace(link, name=name, translator=fence.around(_Failing(clock, rng)))
        if link.name == "thumb reply"
        else link
        for link in pattern.links
    )
    return replace(pattern, name=name, links=links)


def soak_hour(hours: float = 1.0, seed: int = 1, hits_a_second: float = 12.0) -> dict[str, Any]:
    """Play a simulated time with random hits, chords, changes, faults and port losses; return what went wrong."""
    rng = random.Random(seed)
    clock = PretendedClock()
    fence = Fence(clock)
    patterns = [prepare_pattern(read_pattern(name), fence) for name in ("straight eighths", "swing ride")]
    patterns += [_pattern_with_faults(number, clock, fence, rng) for number in range(20)]
    placing = prepare_placing(parse_chart(CHART), read_pattern("straight eighths").harmony, patterns[0].metre)
    setup = Setup(tempo_bpm=120.0, thru=True, send_clock=True, count_in_bars=1, kit=GENERAL_MIDI)
    engine = Engine(setup, patterns, placing, Guard(Player()), 0.0, ear=LiveChords())
    heard = Heard()
    pedal = {"down": False}

    def hear(out: list[Out], sec: float) -> None:
        for sink, message in out:
            if sink is Sink.PIANO:
                heard.take(message, sec)
                if message[0] & 0xF0 == 0xB0 and message[1] == 64:
                    pedal["down"] = message[2] >= 64

    tracemalloc.start()
    sizes: list[int] = []
    hear(engine.start(0.0), 0.0)
    sec, mark_sec, end_sec = 0.0, 0.0, hours * 3600
    while sec < end_sec:
        step_sec = rng.expovariate(hits_a_second)
        while (due := engine.next_sec()) is not None and due <= sec + step_sec:
            hear(engine.advance(due), due)
        sec += step_sec
        hear(_event(engine, rng, sec), sec)
        if sec >= mark_sec:
            sizes.append(_own_memory())
            mark_sec += end_sec / 12
    hear(engine.close(), sec)
    tracemalloc.stop()
    accounts = engine.accounts
    return {
        "hours": hours,
        "hits": accounts.hits,
        "notes": heard.begun,
        "stuck notes": len(heard.sounding) + engine.ledger.begun - engine.ledger.ended,
        "wrong note messages": heard.wrong,
        "pedal left down": pedal["down"],
        "lost hits": max(0, accounts.hits - accounts.answered - sum(accounts.left_out.values())),
        "faults fenced": sum("failed" in reason for _, reason in accounts.left_out),
        "memory KiB": [size // 1024 for size in sizes],
    }


def _own_memory() -> int:
    """Return the bytes held, without the caches of voicings and fingerings, which fill up to their limits."""
    cached = [tracemalloc.Filter(False, f"*/{place}/*") for place in ("harmony", "hands")]
    kept = tracemalloc.take_snapshot().filter_traces(
        [*cached, tracemalloc.Filter(False, tracemalloc.__file__)]
    )
    return sum(trace.size for trace in kept.traces)


def _event(engine: Engine, rng: random.Random, sec: float) -> list[Out]:
    """Let something happen at *sec*."""
    chance = rng.random()
    if chance < 0.70:
        return engine.take(Source.DRUMS, (0x99, rng.choice(DRUMS), rng.randint(1, 127)), sec)
    if chance < 0.90:
        pitch = rng.choice(rng.choice(CHORDS))
        return engine.take(Source.KEYS, (rng.choice((0x80, 0x90)), pitch, rng.randint(0, 127)), sec)
    if chance < 0.93:
        return engine.take(Source.KEYS, (0xB0, rng.choice((1, 64, 66, 123)), rng.randint(0, 127)), sec)
    if chance < 0.95:
        junk = tuple(rng.randint(0, 255) for _ in range(rng.randint(0, 5)))
        return engine.take(rng.choice(list(Source)), junk, sec)
    return engine.lose(rng.choice(list(Source))) if chance < 0.955 else _change(engine, rng, sec)


def _change(engine: Engine, rng: random.Random, sec: float) -> list[Out]:
    """Let the player change something at *sec*; starts and stops are rarer than the rest."""
    action = rng.choice(list(Action))
    if action in (Action.STOP, Action.START) and rng.random() < 0.8:
        return []
    change = StageChange(action, rng.choice(_VALUES[action]), rng.choice((None, At.NOW, At.BEAT, At.BAR)))
    return engine.change(change, sec)


def soak_jack(minutes: float = 5.0, hits_a_second: float = 40.0, seed: int = 7) -> dict[str, Any]:
    """Play real *minutes* through a JACK server, recording; return what went wrong and how memory grew."""
    with dummy_server() as server, TemporaryDirectory() as folder:
        system = open_system("jack")
        takes = Path(folder) / "takes"
        stage = Stage(
            ["straight eighths", *STAGE_PORTS, "--record", str(takes), "--thru"], server.environment
        )
        with _probe(system, "Handgroove drums", "Handgroove piano") as probe:
            keys = system.open_output(next(name for name in system.outputs() if "keys" in name), "probe keys")
            sleep(1.0)
            press = _player(keys.send, changes=False)
            memory = []
            for part in range(10):
                probe.strike(hits_a_second, minutes * 6, seed + part, press)
                memory.append(stage.memory_kib())
            told = stage.end()
            probe.listen(0.5)
            keys.close()
        made = [path.stat().st_size for path in takes.glob("*.mid")]
        system.forget()
    return {
        "minutes": minutes,
        "hits": told.hits,
        "stuck notes": len(probe.heard.sounding),
        "wrong note messages": probe.heard.wrong,
        "lost hits": max(0, told.hits - told.answered - told.left_out),
        "memory KiB": memory,
        "take bytes": made,
        "delay p99 ms": 1e3 * sorted(probe.heard.delays_sec)[int(0.99 * len(probe.heard.delays_sec))],
    }
