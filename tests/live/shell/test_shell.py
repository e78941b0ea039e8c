"""The shell on pretended time between loopback ports: vanishing ports, a dying server, faults, takes."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from handgroove.live.beside.view import view
from handgroove.live.core.messages import Message, is_note_off, is_note_on
from handgroove.live.core.stage import Sink, Source
from handgroove.live.shell.loopback import LoopbackOut, LoopbackSystem
from handgroove.live.shell.midi_ports import PortError
from handgroove.live.shell.pulse import Pulse
from handgroove.live.shell.shell import Samples, Shell
from handgroove.live.shell.wires import Outlet, PortWish, Wire
from tests.live.pretended import PretendedClock
from tests.live.stage_rig import Rig


class Stage:
    """A shell, its far ends, and time."""

    def __init__(self, *, with_pulse: bool = False, plays: bool = False, **rig: object) -> None:
        self.clock = PretendedClock()
        self.system = LoopbackSystem(self.clock.now)
        self.pads: LoopbackOut = self.system.add_source("the pads")
        self.keys: LoopbackOut = self.system.add_source("the keys")
        self.synth = self.system.add_sink("the synth")
        self.rig = Rig(plays=plays, timer=self.clock, **rig)  # type: ignore[arg-type]
        lines = [Wire(Source.DRUMS, PortWish("pads")), Wire(Source.KEYS, PortWish("keys"))]
        outlets = [Outlet(frozenset({Sink.PIANO}), PortWish("synth"))]
        self.shell = Shell(
            self.rig.engine, self.clock, self.system, lines, outlets, pulse=Pulse() if with_pulse else None
        )
        self.shell.open()
        self.shell.send(self.rig.engine.start(0.0), 0.0)

    def run(self, seconds: float) -> None:
        """Let time pass."""
        until_sec = self.clock.now() + seconds
        while self.clock.now() < until_sec:
            self.shell.step()

    def heard(self) -> list[Message]:
        """Return what the synth has heard since it was last asked."""
        out = []
        while (got := self.synth.poll()) is not None:
            out.append(got[0])
        return out

    def news(self) -> list[str]:
        """Return what the player was told."""
        return [text for _, text in self.rig.engine.accounts.news]


def test_a_hit_goes_in_and_a_note_comes_out() -> None:
    """From port to port, the kick's low note begins and ends."""
    stage = Stage()
    stage.pads.send((0x99, 36, 100))
    stage.run(0.001)
    assert [message[:2] for message in stage.heard()] == [(0x90, 33)]
    stage.run(3.0)
    assert [message[:2] for message in stage.heard()] == [(0x80, 33)]


def test_a_port_that_vanishes_is_told_and_taken_up_again() -> None:
    """The pads go and come back: two lines of news, no restart, and hits are answered again."""
    stage = Stage()
    stage.run(0.1)
    gone = stage.system.sources.pop("the pads")
    stage.run(1.0)
    assert stage.news() == ["drums: the pads has gone"]
    gone.close()
    pads = stage.system.add_source("the pads")
    stage.run(1.0)
    assert stage.news()[-1] == "drums: the pads is back"
    pads.send((0x99, 36, 100))
    stage.run(0.01)
    assert any(is_note_on(message) for message in stage.heard())


def test_a_synth_that_vanishes_gets_its_note_off_when_it_returns() -> None:
    """What sounded when the output went is ended there first."""
    stage = Stage()
    stage.pads.send((0x99, 36, 100))
    stage.run(0.01)
    sink = stage.system.sinks.pop("the synth")
    stage.run(2.0)
    stage.heard()
    stage.system.sinks["the synth"] = sink
    stage.run(1.0)
    assert (0x80, 33, 0) in stage.heard()
    assert stage.news() == ["piano: the synth has gone", "piano: the synth is back"]


def test_keys_that_vanish_let_go_of_what_they_held() -> None:
    """With thru, keys held when their port goes end."""
    stage = Stage(thru=True)
    stage.keys.send((0x91, 72, 90))
    stage.run(0.01)
    del stage.system.sources["the keys"]
    stage.run(1.0)
    assert (0x81, 72, 0) in stage.heard()


def test_a_dead_server_is_noticed_within_a_second_and_taken_up_again() -> None:
    """The pulse stops coming back: said once, waited for without spinning, and played on when it is there again."""
    stage = Stage(with_pulse=True)
    stage.pads.send((0x99, 36, 100))
    stage.run(1.0)
    stage.heard()
    died_sec = stage.clock.now()
    stage.system.is_dead = True
    for port in stage.system.sources.values():
        port.listeners.clear()
    while not stage.news():
        stage.shell.step()
    assert stage.clock.now() - died_sec < 1.0
    stage.run(3.0)
    assert len(stage.news()) == 1
    assert "has gone; waiting" in stage.news()[0]
    stage.system.is_dead = False
    stage.run(1.0)
    assert "is back" in stage.news()[-1]
    stage.pads.send((0x99, 36, 100))
    stage.run(0.01)
    assert any(is_note_on(message) for message in stage.heard())


def test_a_failure_in_the_engine_ends_every_note_and_the_show_goes_on(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """An exception that nobody foresaw: all notes off, one line of news, and the next hit is answered."""
    stage = Stage()
    stage.pads.send((0x99, 36, 100))
    stage.run(0.1)
    chain = stage.rig.engine.programme.chain
    taker = chain.taker

    def fail(piece: object) -> str:
        monkeypatch.setattr(chain, "taker", taker)
        raise RuntimeError("unforeseen")

    monkeypatch.setattr(chain, "taker", fail)
    stage.pads.send((0x99, 36, 100))
    stage.run(0.01)
    heard = stage.heard()
    assert any(is_note_off(message) for message in heard)
    assert "unforeseen" in stage.news()[-1]
    stage.pads.send((0x99, 38, 100))
    stage.run(0.01)
    assert any(is_note_on(message) for message in stage.heard())


def test_closing_ends_every_note_and_releases_the_pedal() -> None:
    """Whatever sounds at the end is ended, and the pedal comes up."""
    stage = Stage(thru=True)
    for message in ((0x90, 60, 90), (0xB0, 64, 127)):
        stage.keys.send(message)
    stage.pads.send((0x99, 36, 100))
    stage.run(0.01)
    stage.shell.stopped_by = 15
    stage.shell.run()
    heard = stage.heard()
    begun = {message[1] for message in heard if is_note_on(message)}
    ended = {message[1] for message in heard if is_note_off(message)}
    assert begun == ended
    assert (0xB0, 64, 0) in heard


def test_a_missing_port_is_refused_at_the_start() -> None:
    """A port that is not there is named before anything sounds."""
    clock = PretendedClock()
    system = LoopbackSystem(clock.now)
    shell = Shell(Rig().engine, clock, system, [Wire(Source.DRUMS, PortWish("pads"))], [])
    with pytest.raises(PortError, match="'pads'"):
        shell.open()


def test_a_flood_does_not_delay_the_ends_of_notes() -> None:
    """Ten thousand controls a second come in while a note is due to end: it ends on time."""
    stage = Stage()
    stage.pads.send((0x99, 38, 100))
    stage.run(0.001)
    begun_sec = stage.clock.now()
    heard: list[Message] = []
    while stage.clock.now() < begun_sec + 1.0:
        for _ in range(5):
            stage.keys.send((0xB0, 1, 64))
        stage.shell.step()
        if any(is_note_off(message) for message in stage.heard()):
            heard.append((1,))
            break
    assert heard
    assert stage.clock.now() - begun_sec < 0.3
    assert stage.shell.lateness.share(1.0) < 0.001


def test_the_take_hears_input_and_output(monkeypatch: pytest.MonkeyPatch) -> None:
    """A recorder is told each message with its time, a new take at the start, and the answer after its hit's time."""
    told: list[tuple[object, ...]] = []

    class Tape:
        def new_take(self, sec: float, tempo_bpm: float) -> None:
            told.append(("take", sec, tempo_bpm))

        def note_in(self, source: Source, message: Message, sec: float) -> None:
            told.append(("in", source, message))

        def note_out(self, sink: Sink, message: Message, sec: float) -> None:
            told.append(("out", sink, message[:2]))

    stage = Stage()
    monkeypatch.setattr(stage.shell, "_taper", Tape())
    stage.pads.send((0x99, 36, 100))
    stage.run(0.001)
    assert told == [
        ("take", 0.0, 120.0),
        ("out", Sink.PIANO, (0x90, 33)),
        ("in", Source.DRUMS, (0x99, 36, 100)),
    ]


def test_samples_keep_a_bounded_window() -> None:
    """The last thousands are kept, and shares are of them."""
    samples = Samples()
    for number in range(20_000):
        samples.add(float(number))
    assert len(samples) == 20_000
    assert samples.last == 19_999.0
    assert samples.share(0.0) == 20_000 - 8192
    assert Samples().share(0.5) == 0.0


def test_the_view_tells_where_the_music_is() -> None:
    """Tempo, bar, beat, chord and the next one, hands and counts, as small plain values."""
    stage = Stage(plays=True)
    stage.run(2.6)
    shown = view(stage.shell, stage.clock.now())
    assert (shown["bar"], shown["beat"], shown["tempo"]) == (2, 2, 120.0)
    assert (shown["chord"], shown["next_chord"]) == ("Fmaj7", "C")
    assert shown["hands"] == "both"
    assert shown["left"]
    assert shown["hits"] > 10


def test_chores_wait_for_room_but_not_for_ever() -> None:
    """A chore is put off while something is due soon, and done all the same when it has waited long."""
    from handgroove.live.shell.shell import Chore

    done: list[float] = []
    add: Callable[[float], None] = done.append
    chore = Chore(1.0, add)
    assert not chore.run(0.01, 0.0005)
    assert chore.run(0.2, 0.0005)
    assert not chore.run(0.3, 1.0)
    assert chore.run(1.25, 1.0)
    assert done == [0.2, 1.25]


def test_the_way_to_the_answer_is_kept_warm_only_while_hits_come(monkeypatch: pytest.MonkeyPatch) -> None:
    """Rehearsals go on for two seconds after a hit and make no sound of their own."""
    stage = Stage()
    rehearsed: list[float] = []
    monkeypatch.setattr(stage.shell, "_rehearse", lambda: rehearsed.append(stage.clock.now()))
    stage.run(1.0)
    assert rehearsed == []
    stage.pads.send((0x99, 36, 100))
    stage.run(5.0)
    assert len(rehearsed) > 500
    assert max(rehearsed) < 3.01
    assert [message[:2] for message in stage.heard()] == [(0x90, 33), (0x80, 33)]
