"""From events to symbols: bars filled with tied values, rests and tuplets as a reader expects them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cache

from handgroove.metre import VALUES, beats, shift_ticks, split
from handgroove.output.score.sheet_model import Event, Head, Symbol, Tuplet
from handgroove.output.score.staves import diatonic
from handgroove.timeline import Bar, Metre

# (beat length, parts) -> (actual, normal, note type, ticks of that type): 960 in 3 is three eighths for two.
_TUPLETS: dict[tuple[int, int], tuple[int, int, str, int]] = {
    (1920, 3): (3, 2, "quarter", 960),
    (960, 3): (3, 2, "eighth", 480),
    (960, 6): (6, 4, "16th", 240),
    (960, 12): (12, 8, "32nd", 120),
    (1440, 2): (2, 3, "eighth", 480),
    (1440, 4): (4, 3, "eighth", 480),
}
HALF_BEAT_TICKS = 480
_THREE = Metre(3, 8)  # the strengths inside a triplet are those of a small bar of three


def fill_bars(events: Sequence[Event], bars: Sequence[Bar], *, rests: bool = True) -> list[list[Symbol]]:
    """Return the symbols of one voice, bar by bar, every bar full; without *rests* its gaps are hidden."""
    result = []
    first = 0
    for bar in bars:
        while first < len(events) and events[first].end_tick <= bar.start_tick:
            first += 1
        last = first
        while last < len(events) and events[last].tick < bar.end_tick:
            last += 1
        result.append(_fill_bar(events[first:last], bar, rests))
    return result


def _fill_bar(events: Sequence[Event], bar: Bar, rests: bool) -> list[Symbol]:
    if not events and (bar.number or not rests):
        return [Symbol(bar.start_tick, bar.length_ticks, "whole", whole_bar=True, hidden=not rests)]
    tuplets = find_tuplets(events, bar)
    symbols: list[Symbol] = []
    at = bar.start_tick
    for event in events:
        start, end = max(event.tick, bar.start_tick), min(event.end_tick, bar.end_tick)
        symbols += _write(at, start, bar, tuplets, None, rests)
        symbols += _write(start, end, bar, tuplets, event, rests)
        at = end
    return symbols + _write(at, bar.end_tick, bar, tuplets, None, rests)


def find_tuplets(events: Iterable[Event], bar: Bar) -> list[Tuplet]:
    """Return the tuplets that the places in one voice's bar ask for."""
    places = {tick for event in events for tick in (event.tick, event.end_tick)}
    found: dict[int, Tuplet] = {}
    for start, length in beats(bar):
        inside = [tick - start for tick in places if start < tick < start + length]
        parts = _parts(length, inside)
        if parts:
            found[start] = _tuplet(start, length, parts)
    for start in sorted(found):
        both = start in found and start + 960 in found and (start - bar.end_tick) % 1920 == 0
        if both and bar.metre.unit == 4 and bar.metre.beats % 2 == 0:
            inside = [tick - start for tick in places if start < tick < start + 1920]
            if sorted(inside) in ([640, 1280], [640], [1280]):
                del found[start + 960]
                found[start] = _tuplet(start, 1920, 3)
    return list(found.values())


def _parts(length: int, inside: Sequence[int]) -> int:
    """Return into how many parts a beat must be cut for *inside* (ticks after its start), or 0 if no tuplet is due."""
    if all(tick % 120 == 0 for tick in inside):
        return 0  # plain values; in compound time dotted eighths read better than a duplet
    for parts in (2, 3, 4, 6, 12):
        if (length, parts) in _TUPLETS and all(tick * parts % length == 0 for tick in inside):
            return parts
    return 0


def _tuplet(start: int, length: int, parts: int) -> Tuplet:
    actual, normal, unit, _ = _TUPLETS[length, parts]
    return Tuplet(start, length, actual, normal, unit)


def _write(
    start: int, end: int, bar: Bar, tuplets: Sequence[Tuplet], event: Event | None, rests: bool
) -> list[Symbol]:
    """Return the symbols that fill *start* to *end*: of *event*, or rests."""
    symbols: list[Symbol] = []
    while start < end:
        tuplet = next((t for t in tuplets if t.tick <= start < t.end_tick), None)
        if tuplet:
            stop = min(end, tuplet.end_tick)
            pieces = _in_tuplet(start, stop, tuplet, event is None)
        else:
            stop = min([end, *(t.tick for t in tuplets if start < t.tick)])
            pieces = _in_bar(start, stop, bar, event is None)
        for begin, length, written in pieces:
            name, dots = VALUES.get(written, ("32nd", 0))
            hidden = event is None and not rests
            symbols.append(Symbol(begin, length, name, dots, tuplet=tuplet, event=event, hidden=hidden))
        start = stop
    return symbols


def _in_bar(start: int, end: int, bar: Bar, rest: bool) -> list[tuple[int, int, int]]:
    base = bar.start_tick - shift_ticks(bar)
    pieces = split(bar.metre, start - base, end - base, rest)
    return [(base + a, b - a, b - a) for a, b in pieces]


def _in_tuplet(start: int, end: int, tuplet: Tuplet, rest: bool) -> list[tuple[int, int, int]]:
    """Return (tick, length, written length) of the pieces in a tuplet, cut as in a small bar of its own."""
    up, down = tuplet.actual, tuplet.normal
    pieces = _cut((start - tuplet.tick) * up // down, (end - tuplet.tick) * up // down, tuplet.unit, rest)
    return [(tuplet.tick + a * down // up, (b - a) * down // up, b - a) for a, b in pieces]


@cache
def _cut(start: int, end: int, unit: str, rest: bool) -> tuple[tuple[int, int], ...]:
    if unit == "quarter":  # as eighths, then doubled
        return tuple((2 * a, 2 * b) for a, b in split(_THREE, start // 2, end // 2, rest))
    return split(_THREE, start, end, rest) if end <= 1440 else split(Metre(4, 8), start, end, rest)


def attach_heads(symbols: Iterable[Symbol], heads: dict[int, Head]) -> None:
    """Give every symbol its noteheads (by the note's index), tied where an event needs several symbols."""
    for symbol in symbols:
        event = symbol.event
        if event is None:
            continue
        first, last = symbol.tick == event.tick, symbol.end_tick == event.end_tick
        symbol.heads = [replace(heads[p.index], tied_from=not first, tied_on=not last) for p in event.notes]
        if first:
            symbol.graces = [replace(heads[p.index]) for p in event.graces]
            symbol.marks = event.marks


def beam(symbols: Sequence[Symbol], bar: Bar) -> None:
    """Set the beams of one voice's bar: by beat or group, straight eighths of 4/4 by the half bar."""
    groups: dict[int, list[Symbol]] = {}
    for symbol in symbols:
        groups.setdefault(_beam_group(symbol, symbols, bar), []).append(symbol)
    for group in groups.values():
        run: list[Symbol] = []
        for symbol in group:
            if symbol.event and _flags(symbol):
                run.append(symbol)
            else:
                _beam_run(run)
                run = []
        _beam_run(run)


def set_stems(symbols: Sequence[Symbol], *, shared: bool, upper: bool, middle: int) -> None:
    """Set the stems of notes without a beam: by voice where two share a staff, else away from the far note.

    *middle* is the staff's middle line in steps above C0, as written. Beamed notes are left to the engraver.
    """
    for symbol in symbols:
        if not symbol.heads or symbol.type in ("whole", "breve"):
            continue
        if shared:
            symbol.stem = "up" if upper else "down"
        elif not symbol.beams:
            steps = [diatonic(head) - middle for head in symbol.heads]
            symbol.stem = "up" if abs(min(steps)) > max(steps) else "down"


def _beam_group(symbol: Symbol, symbols: Sequence[Symbol], bar: Bar) -> int:
    start, length = next(b for b in beats(bar) if b[0] <= symbol.tick < sum(b))
    if bar.metre.unit == 4 and bar.metre.beats % 2 == 0 and length == 960:
        half = symbol.tick - (symbol.tick - (bar.end_tick - bar.metre.bar_ticks)) % 1920
        inside = [s for s in symbols if s.tick < half + 1920 and s.end_tick > half]
        if all(s.type == "eighth" and not s.dots and s.event and not s.tuplet for s in inside):
            return half
    return start


def _flags(symbol: Symbol) -> int:
    return {"eighth": 1, "16th": 2, "32nd": 3}.get(symbol.type, 0)


def _beam_run(run: Sequence[Symbol]) -> None:
    """Set begin, continue, end and hooks for a run of notes under one beam."""
    if len(run) < 2:
        return
    flags = [_flags(s) for s in run]
    for index, symbol in enumerate(run):
        beams = []
        for depth in range(1, flags[index] + 1):
            left = index > 0 and flags[index - 1] >= depth
            right = index + 1 < len(run) and flags[index + 1] >= depth
            if left and right:
                beams.append("continue")
            elif right:
                beams.append("begin")
            elif left:
                beams.append("end")
            else:
                beams.append("forward hook" if index == 0 or _leads(symbol, run) else "backward hook")
        symbol.beams = tuple(beams)


def _leads(symbol: Symbol, run: Sequence[Symbol]) -> bool:
    """Return whether a lone short note begins a half beat, so that its hook points onward."""
    return symbol is not run[-1] and (symbol.tick - run[0].tick) % HALF_BEAT_TICKS == 0
