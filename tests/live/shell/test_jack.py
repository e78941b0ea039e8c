"""Live on a real MIDI server: ports, the command, its ends, and a server that dies."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path
from statistics import median
from time import monotonic, sleep

import mido
import pytest

from handgroove.live.core.messages import Message, is_note_off, is_note_on
from handgroove.live.shell.midi_ports import InPort, MidiSystem, PortError, open_system
from tests.live.jack_rig import CHART, Player, needs_jack, server
from tests.tools.stage.probe import wait_for
from tests.tools.stage.server import Server

pytestmark = needs_jack


@contextmanager
def _playing(running: Server, *arguments: str) -> Iterator[tuple[Player, MidiSystem]]:
    player = Player(running, *arguments, "--chart", CHART)
    system = open_system("jack")
    try:
        yield player, system
    finally:
        system.forget()
        player.kill()


def _hear(port: InPort, seconds: float, enough: int = 10**6) -> list[Message]:
    heard: list[Message] = []
    until_sec = monotonic() + seconds
    while monotonic() < until_sec and len(heard) < enough:
        while (got := port.poll()) is not None:
            heard.append(got[0])
        sleep(0.002)
    return heard


def test_everything_arrives_whole_and_in_order() -> None:
    """Three thousand messages of every kind go through the server, none lost, none out of order."""
    kinds: list[Message] = [(0x90, 60, 1), (0xF8,), (0xC0, 3), (0xF0, 1, 2, 3, 0xF7), (0xFE,), (0xE0, 1, 2)]
    with server():
        system = open_system("jack")
        out = system.make_output("order out")
        back = system.open_input(wait_for("order out", system.inputs), "order in")
        heard: list[Message] = []
        for block in range(30):
            for number in range(100):
                out.send(kinds[(block + number) % len(kinds)])
            heard += _hear(back, 0.05)
        heard += _hear(back, 0.5)
        for port in (out, back):
            port.close()
        system.forget()
    assert heard == [kinds[(block + number) % len(kinds)] for block in range(30) for number in range(100)]


def test_without_a_server_the_remedy_is_told() -> None:
    """Where no server runs, the error says how to start one."""
    with server() as running:
        running.stop()
        with pytest.raises(PortError, match="start a JACK server"):
            open_system("jack").make_output("nobody")


@pytest.mark.parametrize(
    ("number", "code"), [(signal.SIGINT, 130), (signal.SIGTERM, 143), (signal.SIGHUP, 129)]
)
def test_a_signal_ends_every_note_and_releases_the_pedal(number: int, code: int) -> None:
    """Interrupted, ended, or its terminal closed: what sounds is ended, the pedal comes up, the code says which."""
    with (
        server() as running,
        _playing(running, "--drums", "virtual", "--keys", "virtual", "--thru") as (player, system),
    ):
        back = system.open_input(wait_for("Handgroove piano", system.inputs), "far end")
        hits = system.open_output(wait_for("Handgroove drums", system.outputs), "pads")
        keys = system.open_output(wait_for("Handgroove keys", system.outputs), "stage")
        sleep(0.3)
        keys.send((0x91, 60, 80))
        keys.send((0xB1, 64, 127))
        hits.send((0x99, 36, 100))
        heard = _hear(back, 0.2)
        assert {message[1] for message in heard if is_note_on(message)} >= {60, 33}
        ended = player.end(number)
        heard += _hear(back, 0.3)
        for port in (back, hits, keys):
            port.close()
    assert ended == code, player.said()
    begun = sorted(message[:2] for message in heard if is_note_on(message))
    offs = sorted((message[0] | 0x10, message[1]) for message in heard if is_note_off(message))
    assert begun == offs
    assert (0xB1, 64, 0) in heard


def test_a_killed_server_is_noticed_within_a_second_and_taken_up_again() -> None:
    """The server crashes in mid-song: told within a second, no spinning meanwhile, and played on when it is back."""
    with server() as running, _playing(running, "--drums", "virtual") as (player, system):
        wait_for("Handgroove piano", system.inputs)
        hits = system.open_output(wait_for("Handgroove drums", system.outputs), "pads")
        sleep(0.5)
        hits.send((0x99, 36, 100))
        sleep(0.1)
        hits.close()
        system.forget()
        running.kill()
        died_sec = monotonic()
        noticed_sec = player.wait_for_line("has gone; waiting", 5.0)
        assert noticed_sec - died_sec < 1.0
        busy_before = _processor_sec(player)
        sleep(2.0)
        assert _processor_sec(player) - busy_before < 0.6
        running.start()
        player.wait_for_line("is back", 5.0)
        back = system.open_input(wait_for("Handgroove piano", system.inputs), "far end")
        hits = system.open_output(wait_for("Handgroove drums", system.outputs), "pads")
        hits.send((0x99, 36, 100))
        heard = _hear(back, 1.0, enough=1)
        assert [message[:2] for message in heard] == [(0x90, 33)]
        back.close()
        hits.close()
        assert player.end() == 130


def _processor_sec(player: Player) -> float:
    fields = Path(f"/proc/{player.process.pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / 100


def test_a_take_is_kept_even_when_the_program_is_killed(tmp_path: Path) -> None:
    """SIGKILL in mid-song: the recorder, in a process of its own, still makes the file."""
    with (
        server() as running,
        _playing(running, "--drums", "virtual", "--record", str(tmp_path)) as (player, system),
    ):
        wait_for("Handgroove piano", system.inputs)
        hits = system.open_output(wait_for("Handgroove drums", system.outputs), "pads")
        sleep(0.3)
        for note in (36, 42, 38, 42):
            hits.send((0x99, note, 100))
            sleep(0.1)
        player.kill()
        hits.close()
        until_sec = monotonic() + 10
        while not list(tmp_path.glob("*.mid")) and monotonic() < until_sec:
            sleep(0.05)
    (path,) = tmp_path.glob("*.mid")
    tracks = {track.name: track for track in mido.MidiFile(path).tracks}
    assert [event.note for event in tracks["in: drums"] if event.type == "note_on"] == [36, 42, 38, 42]
    assert any(event.type == "note_on" for event in tracks["out: piano"])


def test_the_groove_follows_a_clock_from_outside() -> None:
    """Clock comes in at 100: the pattern's eighths fall 0.3 s apart, and where its cell rests, two of them."""
    with server() as running, _playing(running, "--clock", "virtual") as (player, system):
        back = system.open_input(wait_for("Handgroove piano", system.inputs), "far end")
        clock = system.open_output(wait_for("Handgroove clock", system.outputs), "sequencer")
        sleep(0.3)
        clock.send((0xFA,))
        times: list[float] = []
        start_sec = monotonic() + 0.05
        for number in range(24 * 8):
            while (now := monotonic()) < start_sec + number * 0.025:
                while (got := back.poll()) is not None:
                    if is_note_on(got[0]):
                        times.append(now)
                sleep(0.0005)
            clock.send((0xF8,))
        clock.send((0xFC,))
        rest = _hear(back, 0.3)
        for port in (back, clock):
            port.close()
        assert player.end() == 130
    strokes = [times[0]]
    for sec in times:
        if sec - strokes[-1] > 0.1:
            strokes.append(sec)
    gaps = [after - before for before, after in pairwise(strokes[3:])]
    assert len(gaps) > 8
    assert median(gaps) == pytest.approx(0.3, abs=0.005)
    eighths = sum(round(gap / 0.3) for gap in gaps)
    assert sum(gaps) / eighths == pytest.approx(0.3, abs=0.005)
    assert all(is_note_off(message) or message[0] & 0xF0 == 0xB0 for message in rest)
