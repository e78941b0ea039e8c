"""How comping goes by style: how many chords a bar, where they like to fall, how long they last, what lies between.

All of it is common practice, no source; the numbers are design choices.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

Busy = Literal["spare", "medium", "busy"]
Lights = Literal["leads", "between", "none"]


@dataclass(frozen=True, slots=True)
class CellStyle:
    """What a cell is made by.

    *chords* is how many fall in four beats, *gap_beats* the least distance between two. *pull* is how much a place off
    the beat is liked beside one on it (under nothing: beats are). *answered* is the share of the drummer's accents that
    get at least a light stroke. *lights* says what lies between chords: a stroke that leads into each, every stroke
    there is, or none. *hold_beats* is how long a chord rings at most. *bars* is a cell's length (0 = the groove says).
    *places* limits chords to upbeats or backbeats. *gap_liked_beats* is a distance that two chords like. *is_pairs*:
    chords are guide tones, a whole one comes once in two bars and rings.
    """

    chords: float = 3
    gap_beats: float = 0.5
    pull: float = 0.0
    answered: float = 0.65
    lights: Lights = "leads"
    hold_beats: float = 2.0
    bars: int = 0
    places: Literal["", "upbeats", "backbeats"] = ""
    gap_liked_beats: float = 0.0
    is_pairs: bool = False


STYLES: dict[str, CellStyle] = {
    "cell": CellStyle(),
    "swing": CellStyle(chords=2, gap_beats=1, pull=0.3, hold_beats=1, bars=2, gap_liked_beats=1.5),
    "sixteenth funk": CellStyle(
        chords=5, gap_beats=0.5, pull=0.4, answered=0, lights="none", hold_beats=0.25, is_pairs=True
    ),
    "ballad": CellStyle(chords=2, gap_beats=1.5, pull=-1.0, lights="between", hold_beats=4),
    "gospel": CellStyle(chords=4, gap_beats=1, pull=-0.5, lights="between", hold_beats=1.5),
    "reggae": CellStyle(
        chords=4, gap_beats=0.5, answered=0, lights="none", hold_beats=0.25, bars=1, places="upbeats"
    ),
    "samba": CellStyle(chords=6, gap_beats=0.5, pull=0.8, answered=0, lights="none", hold_beats=0.4, bars=2),
    "bossa": CellStyle(chords=2.5, gap_beats=1, pull=0.6, answered=0, lights="none", hold_beats=0.4, bars=2),
}
FAST_REGGAE_BPM = 105  # a count this fast is twice the slow one: its skank falls on 2 and 4


def find_style(name: str, busy: Busy = "medium") -> CellStyle:
    """Return the style called *name*, as *busy* as wanted."""
    style = STYLES[name]
    if busy == "medium":
        return style
    more = busy == "busy"
    return replace(
        style,
        chords=style.chords * (1.5 if more else 0.67),
        answered=min(1.0, style.answered * (1.3 if more else 0.6)),
        lights=style.lights if more or style.lights == "none" else "none",
    )
