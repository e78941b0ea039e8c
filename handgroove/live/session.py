"""A session: what was asked for on the command line, made into an engine, ports and sidecars, and run."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, TextIO

from handgroove.clock import RealClock, be_ordinary, be_punctual
from handgroove.errors import Problem, WrongUseError
from handgroove.host.fence import ON_STAGE, Fence
from handgroove.host.watch import Watch
from handgroove.live.beside.view import VIEW_SEC, view
from handgroove.live.core.engine import Engine
from handgroove.live.core.stage import Out, Setup, Sink, Source
from handgroove.live.shell.midi_ports import MidiSystem, open_system, quiet_stderr
from handgroove.live.shell.pulse import Pulse
from handgroove.live.shell.rehearsal import Rehearsal
from handgroove.live.shell.shell import ANEW, Shell
from handgroove.live.shell.wires import Outlet, PortWish, Wire

if TYPE_CHECKING:
    from handgroove.hands.player import Player
    from handgroove.harmony.chart import Chart
    from handgroove.live.core.controls import Controls
    from handgroove.live.core.loops import Playable
    from handgroove.output.sound import SoundPort

VIRTUAL = "virtual"


@dataclass(frozen=True)
class Session:
    """What is asked for. Ports are given by name or part of it, "virtual" for one of our own, "" for none."""

    setup: Setup
    patterns: tuple[str, ...]
    player: Player
    chart: Chart | None = None
    groove_path: str = ""
    plays: bool = True
    waits: bool = False
    ports: dict[Source | Sink, str] = field(default_factory=dict)
    system: str = ""
    controls_path: str = ""
    record_folder: str = ""
    with_sound: bool = False
    soundfont: Path | None = None
    with_screen: bool = True


def run_session(session: Session) -> int:
    """Play *session* until it is ended; return the exit code (130 when interrupted)."""
    clock = RealClock()
    watch = Watch()
    fence = Fence(clock, ON_STAGE, watch)
    system = open_system(session.system) if any(session.ports.values()) else None
    with ExitStack() as stack:
        rehearsal = Rehearsal(build_engine(session, fence, 0.0))
        rehearsal.warm_up()
        engine = build_engine(session, fence, clock.now())
        extra = None
        if session.with_sound:
            from handgroove.output.sound import open_sound

            sound = open_sound(session.soundfont)
            stack.callback(sound.close)
            extra = _sound_sender(sound, engine)
        recorder = None
        if session.record_folder:
            from handgroove.live.beside.record import Recorder

            recorder = Recorder(Path(session.record_folder))
            stack.callback(recorder.close)
        lines, outlets = wires(session)
        pulse = Pulse() if system is not None and system.name == "jack" else None
        shell = Shell(
            engine,
            clock,
            system or _no_system(clock),
            lines,
            outlets,
            pulse=pulse,
            taper=recorder,
            extra=extra,
            rehearse=rehearsal.once,
        )
        shell.open()
        if recorder is not None:
            shell.add_chore(0.2, lambda sec: recorder.follow_tempo(sec, engine.conductor.tempo_bpm))
        with own_stderr() as err:
            _face(session, shell, stack, err)
            _catch_signals(shell, stack)
            stack.enter_context(watch.held())
            be_punctual()
            stack.callback(be_ordinary)
            if not session.waits and engine.conductor.follower is None:
                now_sec = clock.now()
                shell.send(engine.start(now_sec), now_sec)
            shell.run()
        told = 0 if recorder is None else recorder.forgotten
    _sum_up(shell, told)
    if shell.stopped_by == ANEW:
        print("the MIDI server is back: beginning anew", flush=True)
        os.execv(sys.executable, [sys.executable, "-m", "handgroove", *sys.argv[1:]])
    return 0 if shell.stopped_by <= 0 else 128 + shell.stopped_by


def build_engine(session: Session, fence: Fence, sec: float) -> Engine:
    """Return the engine for *session*, its patterns, chart and controls read and checked."""
    from handgroove.hands.guard import Guard
    from handgroove.harmony.find.live_chords import LiveChords
    from handgroove.live.shell.prepare import prepare_placing
    from handgroove.patterns import read_pattern

    read = [read_pattern(name) for name in session.patterns]
    playables = prepare_patterns(session, fence)
    placing = prepare_placing(session.chart, read[0].harmony, playables[0].metre)
    controls: Controls | None = None
    if session.controls_path:
        from handgroove.live.core.controls import check_values, read_controls

        controls = read_controls(session.controls_path)
        check_values(controls, [pattern.name for pattern in playables])
    guard = Guard(session.player)
    ear = LiveChords() if session.ports.get(Source.KEYS) else None
    engine = Engine(session.setup, playables, placing, guard, sec, ear=ear, bindings=controls)
    for double in dict.fromkeys(text for item in playables for link in item.links for text in link.doubles):
        engine.accounts.tell(double)
    return engine


def prepare_patterns(session: Session, fence: Fence) -> list[Playable]:
    """Return the session's patterns, ready to play; the first plays the drummer's file where one is given."""
    from handgroove.live.shell.prepare import prepare_pattern
    from handgroove.patterns import read_pattern

    groove = None
    if session.groove_path:
        from handgroove.groove.read.smf import read_groove

        groove = read_groove(session.groove_path, session.setup.kit)
    playables = []
    for place, name in enumerate(session.patterns):
        pattern = read_pattern(name)
        playables.append(prepare_pattern(pattern, fence, groove if place == 0 else None, plays=session.plays))
    return playables


def wires(session: Session) -> tuple[list[Wire], list[Outlet]]:
    """Return the session's lines and outlets."""
    lines, outlets = [], []
    for end, name in session.ports.items():
        if not name:
            continue
        wish = PortWish("" if name == VIRTUAL else name)
        if isinstance(end, Source):
            lines.append(Wire(end, wish))
        else:
            outlets.append(Outlet(frozenset({end}), wish))
    return lines, outlets


def _no_system(clock: RealClock) -> MidiSystem:
    from handgroove.live.shell.loopback import LoopbackSystem

    return LoopbackSystem(clock.now)


def _sound_sender(port: SoundPort, engine: Engine) -> Callable[[Out], None]:
    """Return what sends the piano's messages to the machine's audio, and tells once if it falls silent."""
    told = False

    def sound(out: Out) -> None:
        nonlocal told
        if out[0] is Sink.PIANO:
            port.send(out[1])
        if port.trouble and not told:
            told = True
            engine.accounts.tell(port.trouble)

    return sound


@contextmanager
def own_stderr() -> Iterator[TextIO]:
    """Keep C libraries' chatter from the screen while music is made; yield a stream for what we say."""
    with os.fdopen(os.dup(2), "w", buffering=1) as ours, quiet_stderr():
        yield ours


def _face(session: Session, shell: Shell, stack: ExitStack, err: TextIO) -> None:
    """Give the session a face: the screen and its keys on a terminal, else plain lines of news."""
    from handgroove.live.beside.keyboard import Keyboard
    from handgroove.live.beside.sidecar import Sidecar

    if session.with_screen and sys.stdout.isatty():
        screen = Sidecar("handgroove.live.beside.screen")
        stack.callback(screen.close, 1.0)
        shell.add_chore(VIEW_SEC, lambda sec: screen.tell(view(shell, sec)))
    else:
        shell.add_chore(VIEW_SEC, _Teller(shell, err).tell)
    if sys.stdin.isatty():
        keyboard = Keyboard(shell)
        stack.callback(keyboard.close)
        shell.add_chore(0.03, keyboard.look)


class _Teller:
    """Tells news in plain lines, each once."""

    def __init__(self, shell: Shell, err: TextIO) -> None:
        self._shell = shell
        self._err = err
        self._told = 0

    def tell(self, sec: float) -> None:
        accounts = self._shell.engine.accounts
        for text in accounts.fresh(self._told):
            print(text, file=self._err)
        self._told = accounts.news_count


def _catch_signals(shell: Shell, stack: ExitStack) -> None:
    """Let SIGINT, SIGTERM and a closed terminal end the session in order."""

    def stop(number: int, _frame: FrameType | None) -> None:
        shell.stopped_by = number

    names = ("SIGINT", "SIGTERM", "SIGHUP")
    for name in names:
        if hasattr(signal, name):
            number = getattr(signal, name)
            stack.callback(signal.signal, number, signal.signal(number, stop))


def _sum_up(shell: Shell, forgotten: int) -> None:
    """Say what was played and what was left out."""
    accounts = shell.engine.accounts
    left_out = sum(accounts.left_out.values())
    print(f"{accounts.hits} hits, {accounts.answered} answered, {left_out} left out")
    for (subject, reason), count in accounts.left_out.most_common(8):
        print(f"    {count} {subject} left out: {reason}")
    for (subject, how, reason), count in accounts.changed.most_common(8):
        print(f"    {count} {subject} {how}: {reason}")
    for name, samples in (("own share of the delay", shell.own_share), ("lateness", shell.lateness)):
        middle, worst = (1e3 * samples.share(quantile) for quantile in (0.5, 0.99))
        print(f"{name}: median {middle:.3f} ms, 99th percentile {worst:.3f} ms")
    if forgotten:
        print(f"{forgotten} messages are missing from the take: the disk was too slow")


def check_session(session: Session) -> None:
    """Raise WrongUseError when *session* has nothing to answer or nowhere to play."""
    problems = []
    if not session.plays and not session.ports.get(Source.DRUMS):
        problems.append(
            Problem("", "nothing plays the drums", remedy="say --drums PORT, or leave out --no-play")
        )
    if not session.ports.get(Sink.PIANO) and not session.with_sound:
        problems.append(
            Problem("", "nowhere to play to", remedy="say --out PORT ('handgroove ports' lists them)")
        )
    if problems:
        raise WrongUseError(problems)
