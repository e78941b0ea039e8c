"""Sections of a song and which of them repeat: by the file's own markers, or by what comes again.

Two bars are alike by their chords, their tune and their bass. Without markers the song is cut into four-bar units
from where the drums' intro ends; a section begins where a unit comes again, a fill lands or the band changes.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from handgroove.band.read.roles import BandRole, Cast
from handgroove.band.read.tracks import Band
from handgroove.groove.know.structure import Stretch
from handgroove.harmony.chart import Harmony
from handgroove.timeline import Bar

UNIT_BARS = 4
ALIKE = 0.72  # from here up two stretches are one section come again
_NO_SECTION = re.compile(r"@|http|www\.|copyright|\(c\)|©|created by|loop ?(start|end)", re.IGNORECASE)
_COUNTED = re.compile(r"[\s\d.:#]+$|\s+[a-d]$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Section:
    """A stretch of whole bars, *first_bar* to *last_bar* (numbers, both included): its *name*, and its *letter*, which
    it shares with the sections that it repeats; *round* counts them from 1."""

    name: str
    letter: str
    round: int
    first_bar: int
    last_bar: int
    start_tick: int
    end_tick: int


BarPrint = tuple[frozenset[tuple[int, str]], frozenset[tuple[int, int]], frozenset[tuple[int, int]]]


def find_sections(
    band: Band,
    casts: Sequence[Cast],
    harmony: Harmony,
    drum_only: Sequence[Stretch],
    landings: Sequence[int],
) -> tuple[Section, ...]:
    """Return the sections of *band*'s song, in order and without gaps; *landings* are where fills lead to (written)."""
    bars = list(band.timeline.bars()) or [band.timeline.bar_at(0)]
    prints = [_print(bar, casts, harmony) for bar in bars]
    markers = _markers(band, bars)
    if len(markers) > 1:
        cuts = sorted(markers)
        if cuts[0] != 0:
            cuts.insert(0, 0)
        names = [markers.get(cut, "Start") for cut in cuts]
    else:
        cuts = _find_cuts(band, casts, bars, prints, drum_only, landings)
        names = ["" for _ in cuts]
    return _letter(bars, prints, cuts, names, drum_only)


def _markers(band: Band, bars: Sequence[Bar]) -> dict[int, str]:
    """Return the section names that the file itself gives, by the index of the bar that they are nearest to."""
    found: dict[int, str] = {}
    starts = [bar.start_tick for bar in bars]
    for marker in band.markers:
        name = " ".join(marker.text.split())[:40]
        if not name or _NO_SECTION.search(name) or marker.tick >= bars[-1].end_tick:
            continue
        index = min(range(len(starts)), key=lambda i: abs(starts[i] - marker.tick))
        found[index] = name
    return found


def _print(bar: Bar, casts: Sequence[Cast], harmony: Harmony) -> BarPrint:
    """Return what a bar is known by: its chords by beat, and where tune and bass strike which note, by eighths."""
    chords = set()
    step = bar.metre.beat_ticks
    for beat, tick in enumerate(range(bar.start_tick, bar.end_tick, step)):
        chord = harmony.at(tick + step // 2).chord
        chords.add((beat, chord.symbol.split("/")[0] if chord else ""))
    lines: list[frozenset[tuple[int, int]]] = []
    for role in (BandRole.MELODY, BandRole.BASS):
        cells = {
            ((note.meant - bar.start_tick) // 240, note.pitch % 12)
            for cast in casts
            if cast.role is role
            for note in cast.track.between(bar.start_tick, bar.end_tick)
        }
        lines.append(frozenset(cells))
    return frozenset(chords), lines[0], lines[1]


def _overlap(a: frozenset[object], b: frozenset[object]) -> float:
    if not a and not b:
        return 1.0
    return 2 * len(a & b) / (len(a) + len(b))


def bar_likeness(a: BarPrint, b: BarPrint) -> float:
    """Return how alike two bars are, 0 to 1: chords half, tune three tenths, bass the rest."""
    return (
        0.5 * _overlap(frozenset(a[0]), frozenset(b[0]))
        + 0.3 * _overlap(frozenset(a[1]), frozenset(b[1]))
        + 0.2 * _overlap(frozenset(a[2]), frozenset(b[2]))
    )


def _likeness(prints: Sequence[BarPrint], a: range, b: range) -> float:
    """Return how alike two stretches of bars are; one that is much longer is another section."""
    if min(len(a), len(b)) < 0.7 * max(len(a), len(b)):
        return 0.0
    pairs = list(zip(a, b, strict=False))
    return sum(bar_likeness(prints[i], prints[j]) for i, j in pairs) / max(1, len(pairs))


def _find_cuts(
    band: Band,
    casts: Sequence[Cast],
    bars: Sequence[Bar],
    prints: Sequence[BarPrint],
    drum_only: Sequence[Stretch],
    landings: Sequence[int],
) -> list[int]:
    """Return the indices of the bars that begin a section."""
    index_of = {bar.number: index for index, bar in enumerate(bars)}
    cuts = {0}
    first = 1 if bars[0].number == 0 and len(bars) > 1 else 0
    for stretch in drum_only:
        cuts.add(index_of[stretch.first])
        after = index_of.get(stretch.last, len(bars) - 1) + 1
        if after < len(bars):
            cuts.add(after)
            if stretch.first <= 1:
                first = after
    units = [range(i, min(i + UNIT_BARS, len(bars))) for i in range(first, len(bars), UNIT_BARS)]
    landed = {index_of.get(band.timeline.bar_at(tick).number, -1) for tick in landings}
    playing = [_playing(bars, unit, casts) for unit in units]
    # A unit that comes again begins a section each time, unless the one before it comes again with it.
    again = [
        next((j for j in range(i) if _likeness(prints, units[j], unit) >= ALIKE), None)
        for i, unit in enumerate(units)
    ]
    for i, unit in enumerate(units):
        if not i:
            cuts.add(unit.start)
            continue
        earlier = again[i]
        came = (
            earlier is not None and (again[i - 1] is None or again[i - 1] != earlier - 1) and earlier != i - 1
        )
        changed = len(playing[i] ^ playing[i - 1]) >= 2
        if came or changed or unit.start in landed:
            cuts.add(unit.start)
            if came and earlier is not None:
                cuts.add(units[earlier].start)
    return sorted(cuts)


def _playing(bars: Sequence[Bar], unit: range, casts: Sequence[Cast]) -> frozenset[str]:
    start, end = bars[unit.start].start_tick, bars[unit.stop - 1].end_tick
    return frozenset(c.track.name for c in casts if len(c.track.between(start, end)) >= 2)


def _letter(
    bars: Sequence[Bar],
    prints: Sequence[BarPrint],
    cuts: Sequence[int],
    names: Sequence[str],
    drum_only: Sequence[Stretch],
) -> tuple[Section, ...]:
    """Return the sections that begin at *cuts*, each with the letter of the first that it is like."""
    ranges = [range(a, b) for a, b in pairwise([*cuts, len(bars)])]
    letters: list[str] = []
    rounds: dict[str, int] = {}
    sections: list[Section] = []
    alone = {number for stretch in drum_only for number in range(stretch.first, stretch.last + 1)}
    for index, (span, name) in enumerate(zip(ranges, names, strict=True)):
        base = _COUNTED.sub("", name).casefold()
        letter = ""
        for earlier in range(index):
            same_name = base and base == _COUNTED.sub("", names[earlier]).casefold()
            if _likeness(prints, ranges[earlier], span) >= (0.5 if same_name else ALIKE):
                letter = letters[earlier]
                break
        drums = all(bars[i].number in alone for i in span)
        if not letter:
            letter = _nth_letter(len(set(letters)))
        letters.append(letter)
        rounds[letter] = rounds.get(letter, 0) + 1
        title = name or ("Drums" if drums else f"Section {letter}")
        if rounds[letter] > 1 and title in [s.name for s in sections]:
            title = f"{title}, time {rounds[letter]}"
        sections.append(
            Section(
                title,
                letter,
                rounds[letter],
                bars[span.start].number,
                bars[span.stop - 1].number,
                bars[span.start].start_tick,
                bars[span.stop - 1].end_tick,
            )
        )
    return tuple(sections)


def _nth_letter(number: int) -> str:
    """Return A, B ... Z, AA, AB ... for *number* from 0."""
    head = _nth_letter(number // 26 - 1) if number >= 26 else ""
    return head + chr(ord("A") + number % 26)
