"""Readings: the same groove and chart translated several ways, each different from the first in one thing."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from handgroove.groove.hits import Groove
from handgroove.hands.levels import Level
from handgroove.hands.player import Player
from handgroove.harmony.chart import Chart
from handgroove.harmony.chord import Key
from handgroove.harmony.settings import Idiom
from handgroove.job import translate
from handgroove.part import Part
from handgroove.patterns import Pattern, list_patterns, read_pattern, read_patterns

_USUAL_IDIOMS = (Idiom.TRIADS, Idiom.ROOTLESS, Idiom.SHELLS, Idiom.OPEN_FIFTHS)
_USUAL_COUNT = 2  # of patterns and of voicings that are tried where none are named


_AUDIBLE = 0.1  # of the notes must be others for a reading that nobody asked for
_LENGTH_STEP_TICKS = 120
_LOUDNESS_STEP = 8


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to play the bars: its *name*, the options that make it (*choice*), and the part."""

    name: str
    choice: Mapping[str, str]
    part: Part


@dataclass(frozen=True, slots=True)
class Ways:
    """What to try beside the reading as it is; None = the usual, empty = none."""

    levels: Sequence[Level] | None = None
    patterns: Sequence[str] | None = None
    voicings: Sequence[Idiom] | None = None


@dataclass(frozen=True, slots=True)
class Readings:
    """The *readings* that differ, and *messages* about ways asked for that came out the same as another."""

    readings: tuple[Reading, ...]
    messages: tuple[str, ...] = ()


Way = tuple[str, dict[str, str], Pattern, Level]


def make_readings(
    groove: Groove,
    chart: Chart | None,
    pattern: Pattern | None,
    player: Player,
    ways: Ways,
    *,
    span: tuple[int, int],
    key: Key | None = None,
) -> Readings:
    """Translate *groove* as it is and in each of the *ways*; what gives the same notes within *span* is left out."""
    plain = translate(groove, chart, pattern, player, key=key)
    base = pattern or read_pattern(plain.pattern_name)
    found = [Reading(f"as it is: {base.title.lower()}", {"pattern": _called(base)}, plain)]
    messages: list[str] = []
    asked_for = (wish is not None for wish in (ways.levels, ways.patterns, ways.voicings))
    for asked, group in zip(asked_for, _ways(plain.groove, base, ways), strict=True):
        new = 0
        for name, choice, way, level in group:
            reading = Reading(name, choice, translate(groove, chart, way, player, key=key, level=level))
            least = 0.0 if asked else _AUDIBLE
            twin = next((old for old in found if difference(old.part, reading.part, span) <= least), None)
            if twin is None:
                found.append(reading)
                new += 1
            elif asked:
                messages.append(f"{name}: the same notes here as {twin.name!r}, left out")
            if new == _USUAL_COUNT and not asked:
                break
    return Readings(tuple(found), tuple(messages))


def difference(first: Part, second: Part, span: tuple[int, int]) -> float:
    """Return the share of notes within *span*, 0 to 1, that only one part has: by key, start, length and loudness."""
    notes = [
        {
            (note.tick, note.pitch, note.length_ticks // _LENGTH_STEP_TICKS, note.velocity // _LOUDNESS_STEP)
            for note in part.notes
            if span[0] <= note.tick < span[1]
        }
        for part in (first, second)
    ]
    return 1 - len(notes[0] & notes[1]) / max(1, *map(len, notes))


def _ways(groove: Groove, base: Pattern, ways: Ways) -> Iterator[Iterable[Way]]:
    """Yield the ways to try beside the one as it is: levels, other patterns' hands, other voicings."""
    own, as_is = {"pattern": _called(base)}, Level.AS_IS
    levels = (Level.EASIER, Level.HARDER) if ways.levels is None else ways.levels
    yield ((f"one step {level.value}", own | {"level": level.value}, base, level) for level in levels)
    others = suitable_patterns(groove, base) if ways.patterns is None else map(read_pattern, ways.patterns)
    yield ((f"hands of {other.title.lower()}", {"pattern": _called(other)}, other, as_is) for other in others)
    idioms = _USUAL_IDIOMS if ways.voicings is None else ways.voicings
    yield (
        (f"chords as {idiom.value}", own | {"voicing": idiom.value}, with_idiom(base, idiom), as_is)
        for idiom in idioms
    )


def suitable_patterns(groove: Groove, base: Pattern) -> list[Pattern]:
    """Return the library's other patterns for the groove's metre and feel, the nearest in tempo first.

    Of patterns that share out the drums alike only the nearest is kept.
    """
    metre = groove.timeline.metre_at(groove.timeline.pickup_ticks)
    tempo = groove.timeline.tempo_at(0)
    swung = groove.feel.swing_ratio >= 1.2
    fitting = [
        pattern
        for pattern in read_patterns()
        if pattern.metre == metre and (pattern.feel.swing_ratio >= 1.2) == swung and pattern.name != base.name
    ]
    fitting.sort(key=lambda p: (abs(math.log(p.tempo_bpm / tempo)), p.name))
    kept: list[Pattern] = []
    shares = [_share(base)]
    for pattern in fitting:
        if _share(pattern) not in shares:
            shares.append(_share(pattern))
            kept.append(pattern)
    return kept


def _called(pattern: Pattern) -> str:
    """Return what to call *pattern* so that it is found again: its name, or the player's own file."""
    return pattern.name if pattern.name in list_patterns() else pattern.source or pattern.name


def with_idiom(pattern: Pattern, idiom: Idiom) -> Pattern:
    """Return *pattern* with its chords built as *idiom* says."""
    return replace(pattern, harmony=replace(pattern.harmony, idiom=idiom))


def _share(pattern: Pattern) -> object:
    return pattern.assignments, pattern.harmony
