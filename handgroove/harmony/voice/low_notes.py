"""The left hand's low notes: which note of the chord, in which octave, so that the hand does not leap without reason.

Offline all low notes are planned together; live each is chosen from the one before. Pitches are MIDI note numbers.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from handgroove.harmony.charts.chart_model import Harmony
from handgroove.harmony.symbols.chord_model import Chord
from handgroove.harmony.voice.voicing_settings import HarmonySettings, LowChoice

_CENTRE_WEIGHT = 0.3  # for each semitone off the hand's centre
_OCTAVE_LEAP = 6.0  # on top of its twelve semitones: an octave between two bars wants a reason


def low_pc(chord: Chord, choice: LowChoice = LowChoice.BASS) -> int:
    """Return the pitch class that the little finger takes for *chord*."""
    if choice is LowChoice.ROOT:
        return chord.root.pc
    if choice is LowChoice.FIFTH and chord.bass == chord.root:
        return (chord.root.pc + chord.fifth) % 12
    return chord.bass.pc


def plan_low(harmony: Harmony, settings: HarmonySettings | None = None) -> tuple[int, ...]:
    """Return the left hand's low note for each span of *harmony*; without a chord the note before stays.

    A note keeps its octave while a section of the harmony lasts.
    """
    settings = settings or HarmonySettings()
    starts = [marker.tick for marker in harmony.sections]
    wanted: dict[int, list[int]] = {}  # by section, the notes to be placed
    for span in harmony.spans:
        if span.chord is not None:
            section = bisect_right(starts, span.start_tick)
            wanted.setdefault(section, []).append(low_pc(span.chord, settings.low))
    octaves: dict[int, dict[int, int]] = {}
    last: int | None = None
    for section, pcs in wanted.items():
        octaves[section] = _choose_octaves(pcs, last, settings)
        last = octaves[section][pcs[-1]]
    planned: list[int] = []
    for span in harmony.spans:
        if span.chord is not None:
            places = octaves[bisect_right(starts, span.start_tick)]
            planned.append(places[low_pc(span.chord, settings.low)])
        else:
            planned.append(planned[-1] if planned else _places_of(harmony.key.tonic.pc, settings)[0])
    return tuple(planned)


def _choose_octaves(pcs: Sequence[int], before: int | None, settings: HarmonySettings) -> dict[int, int]:
    """Return one pitch for each of *pcs*, the notes of a section in order after the note *before*.

    Each note in turn takes the octave that costs least beside the others, until none moves.
    """
    counts, moves = Counter(pcs), Counter(pair for pair in pairwise(pcs) if pair[0] != pair[1])
    places = {pc: _places_of(pc, settings) for pc in counts}
    chosen = {pc: options[0] for pc, options in places.items()}

    def cost(pc: int, pitch: int) -> float:
        total = counts[pc] * _own_cost(pitch, settings)
        if pc == pcs[0]:
            total += _move_cost(before, pitch)
        for (one, other), count in moves.items():
            if pc in {one, other}:
                total += count * _move_cost(chosen[other if pc == one else one], pitch)
        return total

    movable = [pc for pc, options in places.items() if len(options) > 1]
    is_moving = True
    while is_moving:
        is_moving = False
        for pc in movable:
            best = min(places[pc], key=lambda pitch: cost(pc, pitch))
            if cost(pc, best) < cost(pc, chosen[pc]):
                chosen[pc], is_moving = best, True
    return chosen


def next_low(previous: int | None, chord: Chord | None, settings: HarmonySettings | None = None) -> int:
    """Return the low note of *chord* nearest to *previous* (None = none yet), with no look ahead."""
    settings = settings or HarmonySettings()
    if chord is None:
        return settings.low_centre if previous is None else previous
    places = _places(chord, settings)
    return min(places, key=lambda pitch: _own_cost(pitch, settings) + _move_cost(previous, pitch))


def _places(chord: Chord, settings: HarmonySettings) -> list[int]:
    """Return every pitch in the range that *chord*'s low note may take."""
    return _places_of(low_pc(chord, settings.low), settings)


def _places_of(pc: int, settings: HarmonySettings) -> list[int]:
    """Return every pitch of class *pc* in the low range, nearest to the centre first."""
    lowest, highest = settings.low_range
    first = lowest + (pc - lowest) % 12
    places = list(range(first, max(highest, first) + 1, 12))
    return sorted(places, key=lambda pitch: (_own_cost(pitch, settings), pitch))


def _own_cost(pitch: int, settings: HarmonySettings) -> float:
    """Return what standing off the hand's centre costs."""
    return _CENTRE_WEIGHT * abs(pitch - settings.low_centre)


def _move_cost(before: int | None, after: int) -> float:
    """Return what the move costs."""
    if before is None:
        return 0.0
    size = abs(after - before)
    return size + (_OCTAVE_LEAP if size >= 12 else 0.0)
