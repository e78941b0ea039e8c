"""Learning controls: for each thing to be done, the player presses the control that shall do it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from handgroove.clock import Clock, RealClock
from handgroove.errors import HandgrooveError, Problem
from handgroove.live.core.changes import Action, StageChange
from handgroove.live.core.controls import Binding, ControlPress, format_controls, learn_press
from handgroove.live.core.stage import Source
from handgroove.live.shell.midi_ports import open_system
from handgroove.live.shell.wires import PortWish, Wire

WAIT_SEC = 8.0
ASKED_FOR = (
    ("all notes off", StageChange(Action.NOTES_OFF)),
    ("start", StageChange(Action.START)),
    ("stop", StageChange(Action.STOP)),
    ("tap the tempo", StageChange(Action.TAP)),
    ("play a fill", StageChange(Action.FILL)),
    ("the next pattern", StageChange(Action.PATTERN, "next")),
    ("the next section", StageChange(Action.SECTION, "next")),
    ("hands: left, right, both", StageChange(Action.HANDS, "next")),
    ("the level (a knob)", StageChange(Action.VOLUME)),
    ("transpose up", StageChange(Action.TRANSPOSE, "up")),
    ("transpose down", StageChange(Action.TRANSPOSE, "down")),
)


def learn(lines: Iterable[Wire], clock: Clock, say: Callable[[str], None]) -> list[Binding]:
    """Ask for each control in turn; return what was pressed. Waiting for some seconds leaves one out."""
    lines = list(lines)
    bindings: list[Binding] = []
    taken: set[ControlPress] = set()
    for words, change in ASKED_FOR:
        say(f"{words}: press the control now (or wait {WAIT_SEC:.0f} s to leave it out)")
        press = _next_press(lines, clock, taken)
        if press is None:
            say("    left out")
            continue
        taken.add(press)
        bindings.append(Binding(press, change))
        say(f"    {press}")
    return bindings


def _next_press(lines: list[Wire], clock: Clock, taken: set[ControlPress]) -> ControlPress | None:
    """Return the first control that is pressed within the time and is not taken yet."""
    until_sec = clock.now() + WAIT_SEC
    while clock.now() < until_sec:
        for line in lines:
            while line.port is not None and (got := line.port.poll()) is not None:
                press = learn_press(line.source, got[0]) if got[0] else None
                if press is not None and press not in taken:
                    return press
        clock.rest(0.005)
    return None


def learn_controls(path: Path, ports: Mapping[Source, str], system_name: str) -> None:
    """Learn controls from *ports* and write them to *path*, which must not exist."""
    from handgroove.output.files import check_free, write_whole

    if not ports:
        raise HandgrooveError(
            Problem("", "no port to learn from", remedy="say --keys, --drums or --controls-in")
        )
    check_free([path], force=False)
    system = open_system(system_name)
    lines = [Wire(source, PortWish("" if name == "virtual" else name)) for source, name in ports.items()]
    try:
        for line in lines:
            line.open(system)
        bindings = learn(lines, RealClock(), print)
    finally:
        for line in lines:
            line.close()
    if not bindings:
        print("nothing was pressed: no file was written")
        return
    write_whole(path, format_controls(bindings))
    print(f"{path}: {len(bindings)} controls; use it with --controls {path}")
