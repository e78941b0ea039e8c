"""The computer's keys during a session: for those who have no pedal to spare."""

from __future__ import annotations

import os
import sys
from typing import Any

from handgroove.live.core.changes import Action, Change
from handgroove.live.shell.shell import DONE, Shell

KEYS = {
    " ": Change(Action.NOTES_OFF),
    "s": Change(Action.START),
    "x": Change(Action.STOP),
    "t": Change(Action.TAP),
    "f": Change(Action.FILL),
    "n": Change(Action.PATTERN, "next"),
    "p": Change(Action.PATTERN, "previous"),
    "c": Change(Action.SECTION, "next"),
    "h": Change(Action.HANDS, "next"),
    "+": Change(Action.LEVEL, "up"),
    "-": Change(Action.LEVEL, "down"),
    ">": Change(Action.TRANSPOSE, "up"),
    "<": Change(Action.TRANSPOSE, "down"),
}


def press(shell: Shell, key: str, sec: float) -> None:
    """Do what *key* says at *sec*; unknown keys do nothing."""
    if key == "q":
        shell.stopped_by = DONE
    elif key in KEYS:
        shell.send(shell.engine.change(KEYS[key], sec), sec)


class Keyboard:
    """Reads the terminal's keys, one at a time and without waiting."""

    def __init__(self, shell: Shell) -> None:
        self._shell = shell
        self._fd = sys.stdin.fileno()
        self._before: Any = None
        try:
            import termios
            import tty
        except ImportError:  # Windows
            return
        self._before = termios.tcgetattr(self._fd)
        tty.setcbreak(self._fd)

    def look(self, sec: float) -> None:
        """Do what the keys pressed since the last look say."""
        if self._before is None:
            return
        import select

        while select.select([self._fd], [], [], 0)[0]:
            try:
                pressed = os.read(self._fd, 16)
            except OSError:
                pressed = b""
            if not pressed:  # the terminal was closed
                self._before = None
                return
            for key in pressed.decode("utf-8", "replace"):
                press(self._shell, key, sec)

    def close(self) -> None:
        """Give the terminal back as it was."""
        if self._before is not None:
            import termios

            termios.tcsetattr(self._fd, termios.TCSADRAIN, self._before)
