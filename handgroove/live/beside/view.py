"""What the screen shows, taken from the engine: a small dict, made twenty times a second in the engine's process."""

from __future__ import annotations

from typing import Any

from handgroove.live.core.engine import Engine
from handgroove.live.core.programme import hands_name
from handgroove.live.shell.shell import Shell
from handgroove.strike import Hand

VIEW_SEC = 0.05
_NEWS_SHOWN = 4
_NEWS_SEC = 20.0


def view(shell: Shell, sec: float) -> dict[str, Any]:
    """Return what the screen shows at *sec*."""
    engine: Engine = shell.engine
    conductor, programme = engine.conductor, engine.programme
    tick = conductor.tick_at(sec)
    bar = conductor.timeline.bar_at(tick)
    placed = engine.placing.shown
    accounts = engine.accounts
    following = placed.next_chord
    return {
        "tempo": round(conductor.tempo_bpm, 1),
        "playing": conductor.playing,
        "bar": bar.number,
        "beat": 1 + (tick - bar.start_tick) // bar.metre.beat_ticks,
        "chord": placed.chord.symbol if placed.chord else "",
        "next_chord": following.symbol if following else "",
        "section": engine.placing.section_name(tick),
        "pattern": programme.pattern.name,
        "waiting": [
            f"{change.action.value} {programme.describe(change)}".strip() for change in programme.waiting
        ],
        "hands": hands_name(programme.hands),
        "left": engine.voices.last[Hand.LEFT],
        "right": engine.voices.last[Hand.RIGHT],
        "volume": round(100 * engine.voices.volume),
        "transpose": engine.voices.transpose,
        "clock": _clock_words(engine),
        "delay_ms": round(1e3 * shell.own_share.last, 2),
        "hits": accounts.hits,
        "left_out": sum(accounts.left_out.values()),
        "news": accounts.recent(_NEWS_SEC)[-_NEWS_SHOWN:],
    }


def _clock_words(engine: Engine) -> str:
    conductor = engine.conductor
    if conductor.follower is None:
        return "counting in" if conductor.counting_in else ""
    if conductor.is_lost:
        return "clock in is quiet"
    return "following clock in" if conductor.playing else "waiting for clock in"
