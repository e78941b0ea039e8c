"""Controls: what a pedal, key, pad, knob or program change does, read from a YAML file or learned by pressing.

A file looks like this (`at` and `channel` may be left out)::

    controls:
      - press: pad 49
        do: fill
      - press: control 20
        do: level
      - press: program 2
        do: pattern
        value: swing ride
        at: bar
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, field_validator

from handgroove.errors import HandgrooveError, Problem
from handgroove.live.core.changes import Action, At, StageChange
from handgroove.live.core.messages import CONTROL, NOTE_OFF, NOTE_ON, PROGRAM, Message, is_note_on
from handgroove.live.core.stage import Source
from handgroove.yamlfile import read_yaml
from handgroove.yamlfile.file_model import Expected, FieldFault, FieldFaults, FileModel

_KINDS = {"key": NOTE_ON, "pad": NOTE_ON, "control": CONTROL, "program": PROGRAM}
_PEDALS = {"sustain pedal": 64, "sostenuto pedal": 66, "soft pedal": 67}
_EXPECTED = (
    "key, pad, control or program and a number (pad 49, control 20), or sustain, sostenuto or soft pedal"
)
# A switch sends 0 and 127; a pedal counts as down from the middle on (MIDI 1.0: 0-63 off, 64-127 on)
_DOWN = 64
_SOURCES = {
    "key": (Source.KEYS, Source.CONTROLS),
    "pad": (Source.DRUMS, Source.CONTROLS),
    "control": (Source.KEYS, Source.DRUMS, Source.CONTROLS),
    "program": (Source.KEYS, Source.DRUMS, Source.CONTROLS),
}
_DEFAULTS = {
    Action.PATTERN: "next",
    Action.SECTION: "next",
    Action.HANDS: "next",
    Action.TRANSPOSE: "up",
    Action.TEMPO: "up",
}


@dataclass(frozen=True, slots=True)
class ControlPress:
    """A control: its *kind* (key, pad, control, program), its *number* (programs from 1) and *channel* (None = any)."""

    kind: str
    number: int
    channel: int | None = None

    def __str__(self) -> str:
        named = {number: name for name, number in _PEDALS.items()}
        return (
            named[self.number]
            if self.kind == "control" and self.number in named
            else f"{self.kind} {self.number}"
        )


def parse_press(text: str) -> ControlPress | None:
    """Return the control that *text* names (``pad 49``, ``soft pedal``), or None when it names none."""
    words = text.strip().lower()
    if words in _PEDALS:
        return ControlPress("control", _PEDALS[words])
    kind, _, number = words.partition(" ")
    least = 1 if kind == "program" else 0
    if kind not in _KINDS or not number.strip().isdecimal() or not least <= int(number) <= 127 + least:
        return None
    return ControlPress(kind, int(number))


class _Entry(FileModel):
    press: Annotated[str, Expected(_EXPECTED), Field(description="the control: " + _EXPECTED)]
    do: Annotated[Action, Field(description="what it does")]
    value: Annotated[str, Field(description="which pattern, how much, up, down, next ...")] = ""
    at: Annotated[
        At | None, Field(description="when: now, beat or bar; as the session has it where left out")
    ] = None
    channel: Annotated[int | None, Field(ge=1, le=16, description="the MIDI channel; any where left out")] = (
        None
    )

    @field_validator("press")
    @classmethod
    def _check_press(cls, text: str) -> str:
        if parse_press(text) is None:
            raise FieldFaults(FieldFault(f"expected {_EXPECTED}, got {text!r}"))
        return text


class ControlsFile(FileModel):
    """A controls file."""

    controls: Annotated[list[_Entry], Field(description="what each control does")]


@dataclass(frozen=True, slots=True)
class Binding:
    """*press* does *change*."""

    press: ControlPress
    change: StageChange


def read_controls(path: str | Path) -> Controls:
    """Read a controls file; raise HandgrooveError with everything that is wrong in it."""
    file = read_yaml(path, ControlsFile)
    bindings = []
    for entry in file.controls:
        press = parse_press(entry.press)
        assert press is not None  # checked by the model
        channel = None if entry.channel is None else entry.channel - 1
        bindings.append(
            Binding(
                ControlPress(press.kind, press.number, channel), StageChange(entry.do, entry.value, entry.at)
            )
        )
    return Controls(bindings)


class Controls:
    """Finds what a message does. A bound note or control is not played: the hands never hear of it."""

    def __init__(self, bindings: Sequence[Binding]) -> None:
        self.bindings = tuple(bindings)
        self._by_status: dict[tuple[int, int], list[Binding]] = {}
        for binding in bindings:
            number = binding.press.number - (binding.press.kind == "program")
            self._by_status.setdefault((_KINDS[binding.press.kind], number), []).append(binding)
        self._down: dict[tuple[Source, int, int], bool] = {}

    def find(self, source: Source, message: Message) -> Sequence[StageChange] | None:
        """Return what *message* does (nothing, for the release of a bound one), or None when it is not bound."""
        status = message[0] & 0xF0
        kind = NOTE_ON if status == NOTE_OFF else status
        if kind not in (NOTE_ON, CONTROL, PROGRAM):
            return None
        channel = message[0] & 0x0F
        bound = [
            binding
            for binding in self._by_status.get((kind, message[1]), ())
            if source in _SOURCES[binding.press.kind] and binding.press.channel in (None, channel)
        ]
        if not bound:
            return None
        pressed = self._is_pressed(source, message)
        return [
            change
            for binding in bound
            if (change := self._meant(binding.change, message, pressed=pressed)) is not None
        ]

    def _is_pressed(self, source: Source, message: Message) -> bool:
        """Return whether *message* presses its control, rather than holding or releasing it."""
        if message[0] & 0xF0 != CONTROL:
            return message[0] & 0xF0 == PROGRAM or is_note_on(message)
        key = (source, message[0], message[1])
        was_down = self._down.get(key, False)
        self._down[key] = message[2] >= _DOWN
        return self._down[key] and not was_down

    @staticmethod
    def _meant(change: StageChange, message: Message, *, pressed: bool) -> StageChange | None:
        if change.action is Action.VOLUME and not change.value and message[0] & 0xF0 == CONTROL:
            return StageChange(Action.VOLUME, str(max(10, round(message[2] * 100 / 127))), change.at)
        if not pressed:
            return None
        return (
            change
            if change.value
            else StageChange(change.action, _DEFAULTS.get(change.action, ""), change.at)
        )


def learn_press(source: Source, message: Message) -> ControlPress | None:
    """Return the control that *message* is the pressing of, or None when it presses nothing."""
    status = message[0] & 0xF0
    if is_note_on(message):
        return ControlPress("pad" if source is Source.DRUMS else "key", message[1])
    if status == CONTROL and message[2] >= _DOWN and message[1] < 120:
        return ControlPress("control", message[1])
    if status == PROGRAM:
        return ControlPress("program", message[1] + 1)
    return None


def format_controls(bindings: Sequence[Binding]) -> str:
    """Return a controls file for *bindings*."""
    lines = ["controls:"]
    for binding in bindings:
        lines += [f"  - press: {binding.press}", f"    do: {binding.change.action.value}"]
        if binding.change.value:
            lines.append(f"    value: {binding.change.value}")
    return "\n".join(lines) + "\n"


def check_values(controls: Controls, patterns: Sequence[str]) -> None:
    """Raise HandgrooveError for every control that asks for a pattern that is not on."""
    problems = []
    for binding in controls.bindings:
        change = binding.change
        steps = ("", "next", "previous")
        if change.action is Action.PATTERN and change.value not in steps and not change.value.isdecimal():
            known = [name.casefold() for name in patterns]
            if change.value.casefold() not in known:
                text = (
                    f"{binding.press} asks for the pattern {change.value!r}; there are: {', '.join(patterns)}"
                )
                problems.append(Problem("controls", text, remedy="add it with --pattern"))
    if problems:
        raise HandgrooveError(problems)


def schema() -> dict[str, Any]:
    """Return the JSON Schema of a controls file."""
    return ControlsFile.model_json_schema()
