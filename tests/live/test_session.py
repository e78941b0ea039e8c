"""The commands, and what a session is made of."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from handgroove.cli import app
from handgroove.errors import HandgrooveError, WrongUseError
from handgroove.hands.player import Player
from handgroove.live.beside.keyboard import KEYS, press
from handgroove.live.core.stage import Setup, Sink, Source
from handgroove.live.session import VIRTUAL, Session, build_engine, check_session, wires
from handgroove.live.shell.rehearsal import Rehearsal
from tests.live.shell.test_shell import Stage
from tests.live.stage_rig import Rig


def _session(**changed: Any) -> Session:
    usual = {"setup": Setup(), "patterns": ("straight eighths",), "player": Player()}
    return Session(**{**usual, **changed})


def test_ports_are_wired_as_asked() -> None:
    """Named and virtual ports make lines and outlets, ends without a name make none."""
    lines, outlets = wires(
        _session(
            ports={
                Source.DRUMS: "pads",
                Source.CLOCK: VIRTUAL,
                Source.KEYS: "",
                Sink.PIANO: VIRTUAL,
                Sink.CLOCK: "x",
            }
        )
    )
    assert [(line.source, line.wish.name) for line in lines] == [(Source.DRUMS, "pads"), (Source.CLOCK, "")]
    assert [(outlet.name, outlet.wish.name) for outlet in outlets] == [("piano", ""), ("clock out", "x")]


def test_ends_in_and_out_are_told_apart() -> None:
    """Clock in and clock out are two ends, not one."""
    assert not {str(source) for source in Source} & {str(sink) for sink in Sink}


@pytest.mark.parametrize(
    ("session", "said"),
    [
        (_session(plays=False, ports={Sink.PIANO: "x"}), "nothing plays the drums"),
        (_session(), "nowhere to play to"),
    ],
)
def test_a_session_that_cannot_sound_is_refused(session: Session, said: str) -> None:
    """Without drums or without a piano there is nothing to do, and the remedy is told."""
    with pytest.raises(WrongUseError, match=said):
        check_session(session)


def test_an_engine_is_built_from_patterns_and_controls(tmp_path: Path) -> None:
    """Each pattern that is named is on, the first one first."""
    controls = tmp_path / "controls.yaml"
    controls.write_text("controls: [{press: pad 1, do: pattern, value: waltz}]", encoding="utf-8")
    session = _session(patterns=("straight eighths", "waltz"), controls_path=str(controls))
    engine = build_engine(session, Rig().fence, 0.0)
    assert engine.programme.pattern.name == "straight-eighths"
    wrong = _session(controls_path=str(controls))
    with pytest.raises(HandgrooveError, match="asks for the pattern 'waltz'"):
        build_engine(wrong, Rig().fence, 0.0)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["live", "no such pattern"], "no such pattern"),
        (["live", "--chart", "| Xyz |"], "Xyz"),
        (["live", "--controls", "nowhere.yaml"], "nowhere.yaml"),
        (["live", "--drums", "pads", "--system", "tin cans"], "expected a MIDI system"),
        (["live", "--no-play"], "nothing plays the drums"),
    ],
)
def test_what_is_wrong_is_told_before_a_note_sounds(arguments: list[str], said: str) -> None:
    """Patterns, chords, files and ports that do not exist are named."""
    result = CliRunner().invoke(app, arguments)
    assert isinstance(result.exception, HandgrooveError)
    assert said in str(result.exception)


def test_ports_tells_how_to_make_one_on_every_system() -> None:
    """The help for Linux, macOS and Windows is there even where no MIDI system runs."""
    result = CliRunner().invoke(app, ["ports", "--all-systems", "--system", "jack"])
    for words in ("Linux", "macOS", "Windows", "aconnect", "IAC Driver", "loopback MIDI driver"):
        assert words in result.output


def test_the_help_shows_every_key_that_the_keyboard_knows() -> None:
    """What a key does is told in the command's help."""
    told = " ".join(CliRunner().invoke(app, ["live", "--help"], env={"COLUMNS": "200"}).output.split())
    for words in (
        "space ends all notes",
        "s starts",
        "x stops",
        "t taps",
        "f plays a fill",
        "n and p",
        "q ends",
    ):
        assert words in told
    assert set(KEYS) == set(" sxtfnpch+-><")


def test_keys_do_what_they_say() -> None:
    """Space ends all notes, minus lowers the level, q ends the session, others do nothing."""
    stage = Stage()
    stage.pads.send((0x99, 36, 100))
    stage.run(0.01)
    press(stage.shell, " ", stage.clock.now())
    assert len(stage.rig.engine.ledger) == 0
    press(stage.shell, "-", stage.clock.now())
    assert stage.rig.engine.voices.volume == pytest.approx(0.9)
    press(stage.shell, "?", stage.clock.now())
    stopped = [stage.shell.stopped_by]
    press(stage.shell, "q", stage.clock.now())
    stopped.append(stage.shell.stopped_by)
    assert stopped == [0, -1]


def test_warming_up_plays_through_everything_and_leaves_nothing_sounding() -> None:
    """Before the show the engine's ways are walked once, so that the first beat is not the slowest."""
    engine = build_engine(_session(ports={Source.KEYS: VIRTUAL}), Rig().fence, 0.0)
    Rehearsal(engine).warm_up()
    engine.close()
    assert engine.accounts.answered > 50
    assert engine.ledger.begun == engine.ledger.ended > 0
