"""How a bar is cut: beats, the strength of each place, and the note values that may stand there.

The rules for notes and rests (show the middle of the bar, ties over group boundaries, syncopations of one level,
no dotted rests in simple time) are those of a standard notation handbook, Elaine Gould, *Behind Bars* (2011),
chapter "Metre", from memory. Offsets are ticks from the start of a whole bar.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise

from handgroove.timeline import Bar, Metre

VALUES: dict[int, tuple[str, int]] = {
    7680: ("breve", 0),
    3840: ("whole", 0),
    1920: ("half", 0),
    960: ("quarter", 0),
    480: ("eighth", 0),
    240: ("16th", 0),
    120: ("32nd", 0),
    5760: ("whole", 1),
    2880: ("half", 1),
    1440: ("quarter", 1),
    720: ("eighth", 1),
    360: ("16th", 1),
}
STEP = 120  # nothing is written shorter than a thirty-second

BAR, HALF_BAR, GROUP, BEAT, HALF_BEAT, QUARTER_BEAT = 6, 5, 4, 3, 2, 1


def shift_ticks(bar: Bar) -> int:
    """Return how many ticks of a whole bar are missing at the start of *bar* (more than 0 for a pickup)."""
    return bar.metre.bar_ticks - bar.length_ticks if bar.number == 0 else 0


@cache
def beat_offsets(metre: Metre) -> tuple[int, ...]:
    """Return where the beats of a bar begin: quarters in simple metres, else the groups (6/8: 0, 1440)."""
    if metre.unit <= 4:
        return tuple(range(0, metre.bar_ticks, 960))
    offsets, offset = [], 0
    for group in metre.groups:
        offsets.append(offset)
        offset += group * metre.unit_ticks
    return tuple(offsets)


def beats(bar: Bar) -> list[tuple[int, int]]:
    """Return the start tick and length of every beat in *bar*; a pickup's first beat may be short."""
    shift = shift_ticks(bar)
    starts = [o for o in beat_offsets(bar.metre) if shift < o < shift + bar.length_ticks]
    edges = [shift, *starts, shift + bar.length_ticks]
    base = bar.start_tick - shift
    return [(base + a, b - a) for a, b in pairwise(edges)]


@cache
def _middles(metre: Metre) -> frozenset[int]:
    """Return where a bar divides in large: the half bar of 4/4 and 12/8, 3+2 in 5/4, 3+3 in 6/4."""
    if metre.is_compound:
        return frozenset({metre.bar_ticks // 2}) if metre.beats == 12 else frozenset()
    if metre.unit > 4:
        return frozenset()
    if metre.unit == 2:
        return frozenset(range(1920, metre.bar_ticks, 1920))
    return frozenset({4: {1920}, 5: {2880}, 6: {2880}, 7: {3840}}.get(metre.beats, set()))


@cache
def level(metre: Metre, offset: int) -> int:
    """Return how strong a place is, 6 (the bar line) to 0."""
    if offset % metre.bar_ticks == 0:
        return BAR
    odd = metre.unit > 4
    if offset in _middles(metre):
        return HALF_BAR if odd else GROUP
    if offset in beat_offsets(metre):
        return GROUP if odd else BEAT
    if offset % 480 == 0:
        return HALF_BEAT
    return QUARTER_BEAT if offset % 240 == 0 else 0


def _may_stand(metre: Metre, start: int, end: int) -> bool:
    """Return whether one note may be written from *start* to *end*."""
    if end - start not in VALUES:
        return False
    inside = [level(metre, o) for o in range(start - start % STEP + STEP, end, STEP)]
    most = max(inside, default=0)
    first, last = level(metre, start), level(metre, end)
    if first >= most or most < BEAT:
        return True
    syncopated = min(first, last) == most - 1 and inside.count(most) == 1
    return syncopated and VALUES[end - start][1] == 0


def _may_rest(metre: Metre, start: int, end: int) -> bool:
    """Return whether one rest may be written from *start* to *end*."""
    length = end - start
    whole_beats = metre.is_compound and length % metre.beat_ticks == 0
    if length not in VALUES or (VALUES[length][1] and not whole_beats):
        return False
    most = max((level(metre, o) for o in range(start - start % STEP + STEP, end, STEP)), default=-1)
    first, last = level(metre, start), level(metre, end)
    if most >= BEAT:
        return first > most and last > most
    return first > most and last >= most


@cache
def split(metre: Metre, start: int, end: int, rest: bool = False) -> tuple[tuple[int, int], ...]:
    """Return the fewest values that fill *start* to *end* (offsets in one bar), cut at the strongest places."""
    allowed = _may_rest if rest else _may_stand
    places = [start, *range(start - start % STEP + STEP, end, STEP), end]
    best: dict[int, tuple[float, tuple[tuple[int, int], ...]]] = {start: (0.0, ())}
    for index, stop in enumerate(places[1:], 1):
        found: tuple[float, tuple[tuple[int, int], ...]] | None = None
        for begin in places[:index]:
            if begin in best and allowed(metre, begin, stop):
                weak = 0.0 if stop == end else (BAR - level(metre, stop)) * 0.02
                cost = best[begin][0] + 1 + weak + VALUES[stop - begin][1] * 0.01
                if found is None or cost < found[0]:
                    found = (cost, (*best[begin][1], (begin, stop)))
        if found:
            best[stop] = found
    return best[end][1] if end in best else ((start, end),)
