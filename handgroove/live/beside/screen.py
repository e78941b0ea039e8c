"""The screen: a terminal view that a player reads from two metres. It runs in a process of its own.

Lines of JSON come in on the standard input; the newest is drawn, older ones that wait are skipped. Top left is
the count (bar and beat), top right the tempo, in the middle the chord and the one that follows, beneath them the
pattern, the hands, and what the player must know.
"""

from __future__ import annotations

import json
import os
import select
import shutil
import signal
import sys
from typing import Any, TextIO

from handgroove.live.beside.big_type import big, width

_HIDE, _SHOW = "\x1b[?1049h\x1b[?25l", "\x1b[?25h\x1b[?1049l"
_HOME, _CLEAR_LINE, _CLEAR_BELOW = "\x1b[H", "\x1b[K", "\x1b[J"
_BOLD, _WARN, _PLAIN = "\x1b[1m", "\x1b[1;7m", "\x1b[0m"
_NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def note_name(pitch: int) -> str:
    """Return the name of *pitch*: 60 is C4."""
    return f"{_NAMES[pitch % 12]}{pitch // 12 - 1}"


def draw(view: dict[str, Any], columns: int, rows: int) -> list[str]:
    """Return the lines of the screen for *view*, none wider than *columns*, at most *rows*."""
    count, tempo = _count(view), f"{view.get('tempo', 0):.0f}"
    chord = str(view.get("chord") or "-")
    lines: list[str] = []
    if columns >= width(count) + width(tempo) + 4:
        gap = columns - width(count) - width(tempo)
        style = _WARN if view.get("beat") == 1 and view.get("playing") else _BOLD
        lines += [
            f"{style}{left}{_PLAIN}{' ' * gap}{right}"
            for left, right in zip(big(count), big(tempo), strict=True)
        ]
    else:
        lines.append(f"{_BOLD}{f'{count}  {tempo}'[:columns]}{_PLAIN}")
    lines.append("")
    following = str(view.get("next_chord") or "")
    if width(chord) <= columns:
        beside = f"   → {following}" if following and width(chord) + 4 + len(following) <= columns else ""
        shape = big(chord)
        lines += [f"{_BOLD}{line}{_PLAIN}{beside if row == 2 else ''}" for row, line in enumerate(shape)]
        if following and not beside:
            lines.append(f"→ {following}"[:columns])
    else:
        lines.append(f"{_BOLD}{f'{chord}  → {following}'[:columns]}{_PLAIN}")
    lines.append("")
    lines += [line[:columns] for line in _facts(view)]
    room = rows - len(lines) - 1
    news = [str(text) for text in view.get("news", [])][-max(0, min(4, room)) :] if room > 0 else []
    lines += [f"{_WARN}{text[:columns]}{_PLAIN}" for text in news]
    return lines[:rows]


def _count(view: dict[str, Any]) -> str:
    if not view.get("playing"):
        return "- : -"
    return f"{view.get('bar', 0)}:{view.get('beat', 0)}"


def _facts(view: dict[str, Any]) -> list[str]:
    """Return the lines beneath the chord."""
    pattern = str(view.get("pattern", ""))
    following = [str(item) for item in view.get("waiting", [])]
    section = f"   {view['section']}" if view.get("section") else ""
    hands = {"left": "the left hand only", "right": "the right hand only"}.get(
        str(view.get("hands")), "both hands"
    )
    extras = [hands, f"level {view.get('volume', 100)}"]
    if view.get("transpose"):
        extras.append(f"transposed {view['transpose']:+d}")
    if view.get("clock"):
        extras.append(str(view["clock"]))
    left = " ".join(note_name(pitch) for pitch in view.get("left", []))
    right = " ".join(note_name(pitch) for pitch in view.get("right", []))
    return [
        f"{pattern}{section}" + (f"   next: {', '.join(following)}" if following else ""),
        f"left {left or '-'}    right {right or '-'}",
        "   ".join(extras),
        f"answer {view.get('delay_ms', 0):.2f} ms   hits {view.get('hits', 0)}   left out {view.get('left_out', 0)}",
    ]


def show(lines: list[str], out: TextIO) -> None:
    """Put *lines* on the terminal, without a flicker."""
    out.write(_HOME + "".join(f"{line}{_CLEAR_LINE}\r\n" for line in lines[:-1]))
    out.write(f"{lines[-1]}{_CLEAR_LINE}{_CLEAR_BELOW}" if lines else _CLEAR_BELOW)
    out.flush()


def main() -> None:
    """Draw what comes in on the standard input, until it ends."""
    for name in ("SIGINT", "SIGTERM"):
        signal.signal(getattr(signal, name), signal.SIG_IGN)  # the engine says when it is over
    out = sys.stdout
    out.write(_HIDE)
    rest = b""
    try:
        while True:
            select.select([0], [], [])
            data = os.read(0, 1 << 16)
            if not data:
                return
            *whole, rest = (rest + data).split(b"\n")
            if whole:
                size = shutil.get_terminal_size()
                show(draw(json.loads(whole[-1]), size.columns, size.lines), out)
    except (OSError, ValueError):  # the terminal was closed
        return
    finally:
        try:
            out.write(_SHOW)
            out.flush()
        except OSError:
            os._exit(0)


if __name__ == "__main__":
    main()
