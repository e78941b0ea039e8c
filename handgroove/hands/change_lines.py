"""The lines about what was changed, gathered while settling, one for each thing that a player would name."""

from __future__ import annotations

from handgroove.hands.hand_model import TOGETHER_SEC
from handgroove.hands.reasons import name_role
from handgroove.hands.wishes import Wish
from handgroove.part import Change, Omission
from handgroove.strike import Role

GHOST_WEIGHT = 0.5


def subject_of(wish: Wish) -> str:
    """Return what a player would call *wish*: its role, and whether it's a ghost or a grace note."""
    name = name_role(wish.role)
    if wish.grace:
        return f"{name} grace note"
    if wish.role in (Role.KICK, Role.SNARE) and wish.weight < GHOST_WEIGHT:
        return f"{name} ghost"
    return name


class Changes:
    """Omissions in the making."""

    def __init__(self) -> None:
        self._lines: list[Omission] = []

    def add(self, wish: Wish, change: Change, reason: str) -> None:
        """Note that *change* was done to *wish*, and why."""
        self._lines.append(Omission(wish.place, change, subject_of(wish), reason, wish.hand, wish.hits))

    def put(self, line: Omission) -> None:
        """Note a line that's already in words."""
        self._lines.append(line)

    def shorten(self, wish: Wish, tick: int, sec: float, reason: str) -> None:
        """End *wish* at *tick* (*sec* seconds); a line tells it unless it's no more than a hair."""
        if wish.end_sec - sec > TOGETHER_SEC:
            self.add(wish, Change.SHORTENED, f"let go early: {reason}")
        wish.end_at(tick, sec)

    def lines(self) -> tuple[Omission, ...]:
        """Return the lines in order of time, each once."""
        once = dict.fromkeys(self._lines)
        return tuple(sorted(once, key=lambda line: (line.tick, line.hand or "", line.subject)))
