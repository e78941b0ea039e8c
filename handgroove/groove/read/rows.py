"""Grooves as text, read: one line a drum, one character a step.

``.`` rest, ``g`` ghost or light stroke, ``x`` stroke, ``X`` accent; on the hat's row also ``o`` and ``O``, open and
accented open. ``%`` stands for a bar like the one before. Bars are parted by ``|``, and spaces are then for the eye;
in a row without ``|`` a bar ends at the space (or the end of the row) where it is full. The characters are drummers'
common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from handgroove.errors import did_you_mean
from handgroove.groove.hits import Stroke
from handgroove.groove.kit import GENERAL_MIDI, Piece
from handgroove.groove.read.steps import Grid

REST = "."
SAME_BAR = "%"
HAT = "hat"

# Far enough apart that a ghost, a stroke and an accent are told apart by ear and by groove.levels.
STRUCK = {"g": (Stroke.GHOST, 38), "x": (Stroke.NORMAL, 80), "X": (Stroke.ACCENT, 112)}
OPENED = {"o": (Stroke.NORMAL, 84), "O": (Stroke.ACCENT, 112)}

# The note number that each piece is written as: the map's lowest, but for those that it names twice.
NOTE_OF = {piece: note for note, piece in sorted(GENERAL_MIDI.pieces.items(), reverse=True) if note >= 35}
NOTE_OF |= {Piece.KICK: 36, Piece.SNARE: 38, Piece.CRASH: 49, Piece.RIDE: 51}


@dataclass(frozen=True, slots=True)
class GridHit:
    """One stroke written in a grid: *tick* counted from the grid's start, which piece, how hard."""

    tick: int
    piece: Piece
    velocity: int


@dataclass(frozen=True, slots=True)
class RowFault:
    """What is wrong in row *name*, *offset* characters in; *at_name* means that the name itself is wrong."""

    name: str
    text: str
    offset: int = 0
    remedy: str = ""
    at_name: bool = False


def find_row_names() -> list[str]:
    """Return every name that a row may have: ``hat`` (closed and open) and each piece's own."""
    return [HAT, *(piece.value for piece in Piece)]


def parse_rows(rows: Mapping[str, str], grid: Grid) -> tuple[list[GridHit], int, list[RowFault]]:
    """Parse *rows* (name to text) on *grid*; return the hits in order, how many bars, and what is wrong."""
    hits: list[GridHit] = []
    faults: list[RowFault] = []
    lengths: dict[str, int] = {}
    for name, text in rows.items():
        if name not in find_row_names():
            remedy = (
                did_you_mean(name, find_row_names())
                or "use 'hat', or a piece's name such as 'ride' or 'floor tom'"
            )
            wrong = f"expected the name of a drum or cymbal, got {name[:40]!r}"
            faults.append(RowFault(name, wrong, remedy=remedy, at_name=True))
            continue
        bars, wrongs = _parse_row(name, text, grid)
        faults.extend(wrongs)
        lengths[name] = len(bars)
        for step, char in enumerate(char for bar in bars for char in bar):
            if char != REST:
                hits.append(_make_hit(name, grid.tick(step), char))
    bars_in_all = max(lengths.values(), default=0)
    longest = next((name for name, length in lengths.items() if length == bars_in_all), "")
    wrong_rows = {fault.name for fault in faults}
    for name, length in lengths.items():
        if length != bars_in_all and name not in wrong_rows:
            text = f"expected {_count(bars_in_all, 'bar')} as in the row {longest!r}, got {length}"
            faults.append(RowFault(name, text, remedy="'%' writes a bar like the one before"))
    return sorted(hits, key=lambda hit: hit.tick), bars_in_all, faults


def _make_hit(name: str, tick: int, char: str) -> GridHit:
    _, velocity = STRUCK.get(char) or OPENED[char]
    if name == HAT:
        return GridHit(tick, Piece.OPEN_HAT if char in OPENED else Piece.CLOSED_HAT, velocity)
    return GridHit(tick, Piece(name), velocity)


def _parse_row(name: str, text: str, grid: Grid) -> tuple[list[str], list[RowFault]]:
    """Return the bars of one row, each as long as the grid's bar or else with a fault."""
    allowed = [REST, *STRUCK, *(OPENED if name == HAT else ())]
    faults: list[RowFault] = []
    bars: list[str] = []
    bar, start, signs = "", 0, "|" in text
    for offset, char in enumerate(text + ("|" if signs else " ")):
        if char == "|" or char.isspace():
            full = len(bar) >= grid.steps_per_bar or bar == SAME_BAR or offset == len(text)
            if bar and (char == "|" or (full and not signs)):
                faults.extend(_check_bar(name, bar, start, len(bars), grid))
                bars.append(bars[-1] if bar == SAME_BAR and bars else bar.replace(SAME_BAR, REST))
                bar = ""
            continue
        start = start if bar else offset
        if char in allowed or char == SAME_BAR:
            bar += char
            continue
        opened = char in OPENED
        remedy = "open strokes belong on the row 'hat'" if opened else "a rest is '.'" if char in "-_" else ""
        got = f"expected {', '.join(repr(c) for c in allowed[:-1])} or {allowed[-1]!r}, got {char!r}"
        faults.append(RowFault(name, got, offset, remedy))
        bar += REST
    if not bars and not faults:
        faults.append(RowFault(name, "expected at least one bar, got an empty row"))
    return bars, faults


def _check_bar(name: str, bar: str, start: int, before: int, grid: Grid) -> Iterable[RowFault]:
    if bar == SAME_BAR:
        if not before:
            yield RowFault(name, "expected a bar before '%', which repeats it", start)
        return
    if SAME_BAR in bar:
        yield RowFault(name, "expected '%' alone in its bar", start + bar.index(SAME_BAR))
    if len(bar) != grid.steps_per_bar:
        size = f"{grid.metre}, {grid.steps_per_beat} to a beat"
        yield RowFault(
            name,
            f"expected {_count(grid.steps_per_bar, 'step')} in bar {before + 1} ({size}), got {len(bar)}",
            start,
        )


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
