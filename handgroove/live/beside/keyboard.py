"""The computer's keys during a session: for those who have no pedal to spare."""

from __future__ import annotations

import os
import sys
from typing import Any

from handgroove.live.core.changes import Action, StageChange
from handgroove.live.shell.shell import DONE, Shell

KEYS = {
    " ": StageChange(Action.NOTES_OFF),
    "s": StageChange(Action.START),
    "x": StageChange(Action.STOP),
    "t": StageChange(Action.TAP),
    "f": StageChange(Action.FILL),
    "n": StageChange(Action.PATTERN, "next"),
    "p": StageChange(Action.PATTERN, "previous"),
    "c": StageChange(Action.SECTION, "next"),
    "h": StageChange(Action.HANDS, "next"),
    "+": StageChange(Action.VOLUME, "up"),
    "-": StageChange(Action.VOLUME, "down"),
    ">": StageChange(Action.TRANSPOSE, "up"),
    "<": StageChange(Action.TRANSPOSE, "down"),
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
