"""The items of one bar of a chart: read from text and given their share of the bar.

The grammar is told in `handgroove.harmony.chart`. Columns count from 1; ticks are 960 to the quarter.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from handgroove.harmony.charts.chart_model import ChartChord, Cue
from handgroove.harmony.symbols.chord_faults import ChordFault
from handgroove.harmony.symbols.chord_model import Chord
from handgroove.harmony.symbols.chord_text import read_symbol
from handgroove.timeline import Metre

EIGHTH_TICKS, SIXTEENTH_TICKS = 480, 240
_NO_CHORD = re.compile(r"N\.?C\.?", re.IGNORECASE)
_UNEVEN_HALVES = {3: (2, 1), 5: (3, 2), 7: (4, 3)}  # two chords in an uneven bar: the longer part first


@dataclass(frozen=True, slots=True)
class Word:
    """One item as written: its *text*, its *line* (1 = first) and *column* (1 = first)."""

    text: str
    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Item:
    """One item understood: a chord, N.C. (*chord* None) or a *hold* of what sounds."""

    chord: Chord | None = None
    hold: bool = False
    push_ticks: int = 0
    stop: bool = False


def read_item(word: Word) -> Item | ChordFault:
    """Return the item that *word* spells, or the fault that keeps it from being read."""
    text = word.text
    if text in (".", "/"):
        return Item(hold=True)
    push = 1 if text.startswith("&") else len(text) - len(text.lstrip(">"))
    symbol = text[push:].removesuffix("!")
    if push > 2:
        return ChordFault(0, "at most two > before a chord (one for an eighth early, two for a sixteenth)")
    push_ticks = (0, EIGHTH_TICKS, SIXTEENTH_TICKS)[push]
    stop = text.endswith("!")
    if _NO_CHORD.fullmatch(symbol):
        return Item(None, False, push_ticks, stop)
    chord = read_symbol(symbol)
    if isinstance(chord, ChordFault):
        near = tuple(f"{text[:push]}{name}{'!' * stop}" for name in chord.near)
        return ChordFault(chord.start + push, chord.expected, near)
    return Item(chord, False, push_ticks, stop)


def shares(count: int, metre: Metre) -> tuple[int, ...] | None:
    """Return the ticks that each of *count* items takes of a bar of *metre*, or None where they don't share it."""
    whole = metre.bar_ticks
    if count == 1:
        return (whole,)
    if count == 2 and metre.unit <= 4 and metre.beats in _UNEVEN_HALVES:
        first, second = _UNEVEN_HALVES[metre.beats]
        return (first * metre.unit_ticks, second * metre.unit_ticks)
    if count == len(metre.groups):
        return tuple(group * metre.unit_ticks for group in metre.groups)
    if metre.beats % count == 0 or count % metre.beats == 0:
        part = whole // count
        if part * count == whole and part % SIXTEENTH_TICKS == 0:
            return (part,) * count
    return None


def share_words(metre: Metre) -> str:
    """Return how many items a bar of *metre* may hold, in words: ``1, 2, 4, 8 or 16``."""
    fitting = [str(count) for count in range(1, 33) if shares(count, metre)]
    return f"{', '.join(fitting[:-1])} or {fitting[-1]}" if len(fitting) > 1 else fitting[0]


def place_items(
    items: Sequence[Item], parts: Sequence[int], sounding: ChartChord | None, cue: Cue
) -> tuple[ChartChord, ...]:
    """Return the chords of a bar whose *items* last *parts* ticks; a hold at its start goes on with *sounding*."""
    chords: list[ChartChord] = []
    for offset, item in zip(accumulate(parts, initial=0), items, strict=False):
        if not item.hold:
            mark = Cue.STOP if item.stop else cue
            chords.append(ChartChord(offset, item.chord, item.push_ticks, mark))
        elif not chords:
            chord = sounding.chord if sounding else None
            held = sounding.cue if sounding and cue is Cue.NONE and sounding.cue is Cue.STOP else cue
            chords.append(ChartChord(offset, chord, 0, held, is_held=True))
    return tuple(chords)
