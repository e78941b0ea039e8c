"""What a player changes while playing, and when it is taken."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from handgroove.timeline import Timeline


class Action(StrEnum):
    """What a control does; the value is its name in control files."""

    PATTERN = "pattern"
    SECTION = "section"
    FILL = "fill"
    TRANSPOSE = "transpose"
    HANDS = "hands"
    VOLUME = "level"
    TEMPO = "tempo"
    TAP = "tap"
    START = "start"
    STOP = "stop"
    NOTES_OFF = "all notes off"


class At(StrEnum):
    """When a change is taken."""

    NOW = "now"
    BEAT = "beat"
    BAR = "bar"


# What makes no sense to wait for is done at once, whatever the setting.
AT_ONCE = frozenset({Action.VOLUME, Action.TEMPO, Action.TAP, Action.START, Action.STOP, Action.NOTES_OFF})


@dataclass(frozen=True, slots=True)
class StageChange:
    """One change: what, to which *value* (a name, a number, "next", "up" ...), and when."""

    action: Action
    value: str = ""
    at: At | None = None  # None = as the session has it


def boundary_tick(timeline: Timeline, tick: int, at: At) -> int:
    """Return the tick of the next beat or bar line from *tick* on."""
    bar = timeline.bar_at(tick)
    if at is At.BAR:
        return bar.start_tick if bar.start_tick == tick else bar.end_tick
    beat = bar.metre.beat_ticks
    beats = -(-(tick - bar.start_tick) // beat)
    return min(bar.end_tick, bar.start_tick + beats * beat)


def step_name(names: list[str], current: str, value: str) -> str | None:
    """Return which of *names* is meant: by name, number (1 = first), "next" or "previous"; None if none is."""
    if not names:
        return None
    if value in names:
        return value
    here = names.index(current) if current in names else 0
    if value in ("", "next"):
        return names[(here + 1) % len(names)]
    if value == "previous":
        return names[(here - 1) % len(names)]
    if value.isdecimal() and 1 <= int(value) <= len(names):
        return names[int(value) - 1]
    lowered = value.casefold()
    return next((name for name in names if name.casefold() == lowered), None)
