"""The measurements that need a JACK server: delay against a bare pass-through, own share, lateness."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from time import sleep
from typing import Any

from handgroove.clock import be_ordinary, be_punctual
from handgroove.live.shell.midi_ports import MidiSystem, open_system
from tests.tools.stage.probe import Probe, percentile, wait_for
from tests.tools.stage.server import Server, dummy_server
from tests.tools.stage.stage_process import Stage, Told

HITS_A_SECOND = 200.0
CHART = "| Am7 D9 | Gmaj7 C | F#m7b5 B7 | Em7 A7 |"
CHORDS = ((48, 55, 60, 64), (50, 57, 60, 65), (43, 53, 59, 62), (45, 52, 55, 60))
_CONTROLS = "controls:\n  - {press: program 1, do: pattern, value: next, at: now}\n"
STAGE_PORTS = ["--drums", "virtual", "--keys", "virtual", "--no-play", "--chart", CHART]


def measure_live(seconds: float = 10.0, rounds: int = 2) -> dict[str, Any]:
    """Return delay ratios, own shares and lateness, in milliseconds, all measured in one run."""
    with dummy_server() as server, TemporaryDirectory() as folder:
        controls = Path(folder) / "controls.yaml"
        controls.write_text(_CONTROLS, encoding="utf-8")
        system = open_system("jack")
        bare: list[float] = []
        live: list[float] = []
        told: list[Told] = []
        for number in range(rounds):  # turn about, so that a busy machine is busy for both
            bare += _bare_delays(system, server, seconds, number)
            delays, said = _stage_delays(system, server, seconds, number, [])
            live += delays
            told.append(said)
        changing = _stage_delays(system, server, seconds, 91, ["--controls", str(controls)], changes=True)
        collecting = _stage_delays(system, server, seconds, 92, [], with_collector=True)
        idle = _pattern(system, server, seconds)
        with _busy_core():
            busy = _pattern(system, server, seconds)
        system.forget()
    return {
        "bare": _delay(bare),
        "live": _delay(live),
        "ratio p50": percentile(live, 0.5) / percentile(bare, 0.5),
        "ratio p99": percentile(live, 0.99) / percentile(bare, 0.99),
        "own share p50 ms": max(said.own_p50_ms for said in told),
        "own share p99 ms": max(said.own_p99_ms for said in told),
        "own share, patterns changing, ms": (changing[1].own_p50_ms, changing[1].own_p99_ms),
        "own share, collector on, ms": (collecting[1].own_p50_ms, collecting[1].own_p99_ms),
        "delay, patterns changing": _delay(changing[0]),
        "delay, collector on": _delay(collecting[0]),
        "lateness idle ms": (idle.late_p50_ms, idle.late_p99_ms),
        "lateness busy ms": (busy.late_p50_ms, busy.late_p99_ms),
    }


def _delay(values: list[float]) -> dict[str, float]:
    return {
        "count": len(values),
        "p50 ms": 1e3 * percentile(values, 0.5),
        "p99 ms": 1e3 * percentile(values, 0.99),
        "max ms": 1e3 * max(values, default=0.0),
    }


@contextmanager
def _probe(system: MidiSystem, target: str, answers: str) -> Iterator[Probe]:
    probe = Probe(system, target, answers)
    be_punctual()
    try:
        yield probe
    finally:
        be_ordinary()
        probe.close()


def _nothing(_now_sec: float) -> None:
    """Do nothing between hits."""


def _bare_delays(system: MidiSystem, server: Server, seconds: float, seed: int) -> list[float]:
    command = [sys.executable, "-m", "tests.tools.stage.bare"]
    child = subprocess.Popen(command, env=server.environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    with _probe(system, "bare in", "bare out") as probe:
        probe.strike(HITS_A_SECOND, seconds, seed, _nothing)
    child.communicate(b"end\n", timeout=10)
    return probe.heard.delays_sec


def _stage_delays(
    system: MidiSystem,
    server: Server,
    seconds: float,
    seed: int,
    arguments: list[str],
    *,
    changes: bool = False,
    with_collector: bool = False,
) -> tuple[list[float], Told]:
    """Strike at the stage with all translators on, chords pressed twice a second, and the screen open."""
    patterns = ["straight eighths", "swing ride"] if changes else ["straight eighths"]
    stage = Stage([*patterns, *STAGE_PORTS, *arguments], server.environment, with_collector=with_collector)
    with _probe(system, "Handgroove drums", "Handgroove piano") as probe:
        keys = system.open_output(wait_for("Handgroove keys", system.outputs), "probe keys")
        sleep(0.5)  # let it warm up
        probe.strike(HITS_A_SECOND, seconds, seed, _player(keys.send, changes=changes))
        told = stage.end()
        probe.listen(0.2)
        keys.close()
    if probe.heard.sounding:
        raise RuntimeError(f"notes are stuck: {sorted(probe.heard.sounding)}")
    return probe.heard.delays_sec, told


def _player(send: Callable[[tuple[int, ...]], None], *, changes: bool) -> Callable[[float], None]:
    """Return what presses another chord every half second, and, with *changes*, asks for another pattern too."""
    state = {"next": 0.0, "chord": 0}

    def press(now_sec: float) -> None:
        if now_sec < state["next"]:
            return
        state["next"] = now_sec + 0.5
        number = int(state["chord"])
        for pitch in CHORDS[number % len(CHORDS)]:
            send((0x80, pitch, 0))
        state["chord"] = number + 1
        for pitch in CHORDS[(number + 1) % len(CHORDS)]:
            send((0x90, pitch, 80))
        if changes:
            send((0xC0, 0))

    return press


def _pattern(system: MidiSystem, server: Server, seconds: float) -> Told:
    """Let the stage play its pattern, fast, for *seconds*."""
    stage = Stage(["swing ride", "--tempo", "240", "--chart", CHART], server.environment)
    wait_for("Handgroove piano", system.inputs)
    sleep(1.0 + seconds)
    return stage.end()


@contextmanager
def _busy_core() -> Iterator[None]:
    """Keep one core busy."""
    busy = subprocess.Popen([sys.executable, "-c", "while True: pass"], env=dict(os.environ))
    try:
        yield
    finally:
        busy.kill()
        busy.wait()
