"""Controls: reading their file, finding what a message does, learning."""

from __future__ import annotations

from pathlib import Path

import pytest

from handgroove.errors import HandgrooveError
from handgroove.live.beside.learn import learn
from handgroove.live.core.changes import Action, At, StageChange
from handgroove.live.core.controls import (
    Binding,
    ControlPress,
    Controls,
    check_values,
    format_controls,
    learn_press,
    parse_press,
    read_controls,
)
from handgroove.live.core.stage import Source
from handgroove.live.shell.loopback import LoopbackSystem
from handgroove.live.shell.wires import PortWish, Wire
from tests.live.pretended import PretendedClock
from tests.live.stage_rig import Rig

_FILE = """\
controls:
  - press: pad 49
    do: fill
  - press: control 20
    do: level
  - press: soft pedal
    do: all notes off
  - press: program 2
    do: pattern
    value: swing ride
    at: beat
  - press: key 21
    do: transpose
    value: down
    channel: 2
"""


def _read(tmp_path: Path, text: str = _FILE) -> Controls:
    path = tmp_path / "controls.yaml"
    path.write_text(text, encoding="utf-8")
    return read_controls(path)


def test_a_file_says_what_each_control_does(tmp_path: Path) -> None:
    """Pads, knobs, pedals, programs and keys are read with what they do."""
    controls = _read(tmp_path)
    assert [(str(item.press), item.change.action) for item in controls.bindings] == [
        ("pad 49", Action.FILL),
        ("control 20", Action.VOLUME),
        ("soft pedal", Action.NOTES_OFF),
        ("program 2", Action.PATTERN),
        ("key 21", Action.TRANSPOSE),
    ]


@pytest.mark.parametrize(
    ("source", "message", "meant"),
    [
        (Source.DRUMS, (0x99, 49, 100), [StageChange(Action.FILL)]),
        (Source.KEYS, (0x99, 49, 100), None),
        (Source.DRUMS, (0x89, 49, 0), []),
        (Source.CONTROLS, (0xB0, 20, 127), [StageChange(Action.VOLUME, "100")]),
        (Source.CONTROLS, (0xB0, 20, 64), [StageChange(Action.VOLUME, "50")]),
        (Source.KEYS, (0xB0, 67, 127), [StageChange(Action.NOTES_OFF)]),
        (Source.KEYS, (0xC0, 1), [StageChange(Action.PATTERN, "swing ride", At.BEAT)]),
        (Source.KEYS, (0xC0, 2), None),
        (Source.KEYS, (0x91, 21, 50), [StageChange(Action.TRANSPOSE, "down")]),
        (Source.KEYS, (0x90, 21, 50), None),
        (Source.KEYS, (0xF8,), None),
    ],
)
def test_a_message_is_found(
    tmp_path: Path, source: Source, message: tuple[int, ...], meant: list[StageChange] | None
) -> None:
    """The right port, kind, number and channel press a control; a bound note's release does nothing more."""
    found = _read(tmp_path).find(source, message)
    assert (None if found is None else list(found)) == meant


def test_a_held_pedal_presses_once(tmp_path: Path) -> None:
    """A pedal that sends many values while it goes down is one press, until it has come up."""
    controls = _read(tmp_path)
    values = [20, 70, 100, 127, 90, 30, 0, 90]
    presses = [len(controls.find(Source.KEYS, (0xB0, 67, value)) or ()) for value in values]
    assert presses == [0, 1, 0, 0, 0, 0, 0, 1]


def test_what_is_wrong_in_a_file_is_told_with_its_place(tmp_path: Path) -> None:
    """Every wrong entry is named with line, expectation and what was there."""
    with pytest.raises(HandgrooveError) as caught:
        _read(tmp_path, "controls:\n  - press: pad x\n    do: fill\n  - press: pad 3\n    do: dance\n")
    told = str(caught.value)
    assert "controls.yaml:2:" in told
    assert "expected key, pad, control or program and a number" in told
    assert "controls.yaml:5:" in told
    assert "'dance'" in told


def test_a_control_for_a_pattern_that_is_not_on_is_refused(tmp_path: Path) -> None:
    """What a control asks for must be there before the show."""
    with pytest.raises(HandgrooveError, match="asks for the pattern 'swing ride'"):
        check_values(_read(tmp_path), ["waltz"])


def test_a_bound_pad_changes_and_is_not_played(tmp_path: Path) -> None:
    """Pressing the bound crash pad plans the fill and strikes no note."""
    rig = Rig(bindings=_read(tmp_path))
    rig.far.hear(rig.engine.start(0.0), 0.0)
    count = rig.far.begun
    rig.hit(49, 0.01)
    assert rig.far.begun == count
    assert [change.action for change in rig.engine.programme.waiting] == [Action.FILL]


@pytest.mark.parametrize("text", ["pad 49", "key 0", "control 127", "program 128", "sustain pedal"])
def test_presses_are_written_as_they_are_read(text: str) -> None:
    """A control's name survives being read and written."""
    assert str(parse_press(text)) == text


@pytest.mark.parametrize("text", ["", "pad", "pad 128", "program 0", "knob 3", "control -1"])
def test_what_names_no_control_is_refused(text: str) -> None:
    """Unknown kinds and numbers out of range are no controls."""
    assert parse_press(text) is None


def test_learning_asks_for_each_control_and_takes_what_is_pressed(tmp_path: Path) -> None:
    """Press a pad, then a pedal: both are bound in the order asked, releases are passed over, the rest is left out."""
    clock = PretendedClock()
    system = LoopbackSystem(clock.now)
    pads = system.add_source("pads")
    line = Wire(Source.DRUMS, PortWish("pads"))
    line.open(system)
    said: list[str] = []

    def say(text: str) -> None:
        said.append(text)
        if text.startswith("all notes off"):
            pads.send((0x89, 49, 0))
            pads.send((0x99, 49, 80))
        if text.startswith("tap"):
            pads.send((0x99, 49, 80))  # taken already
            pads.send((0xB9, 66, 127))

    bindings = learn([line], clock, say)
    assert [(str(item.press), item.change.action) for item in bindings] == [
        ("pad 49", Action.NOTES_OFF),
        ("sostenuto pedal", Action.TAP),
    ]
    path = tmp_path / "learned.yaml"
    path.write_text(format_controls(bindings), encoding="utf-8")
    assert read_controls(path).bindings == tuple(bindings)


def test_learning_knows_what_is_a_press() -> None:
    """Note-offs, low control values and channel modes press nothing."""
    assert learn_press(Source.KEYS, (0x90, 60, 0)) is None
    assert learn_press(Source.KEYS, (0xB0, 64, 10)) is None
    assert learn_press(Source.KEYS, (0xB0, 123, 127)) is None
    assert learn_press(Source.KEYS, (0xC0, 4)) == ControlPress("program", 5)
    assert format_controls([Binding(ControlPress("program", 5), StageChange(Action.START))]).splitlines()[
        1:
    ] == [
        "  - press: program 5",
        "    do: start",
    ]
