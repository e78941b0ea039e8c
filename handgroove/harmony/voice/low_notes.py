"""The left hand's low notes: which note of the chord, in which octave, so that the hand does not leap without reason.

Offline all low notes are planned together; live each is chosen from the one before. Pitches are MIDI note numbers.
"""

from __future__ import annotations

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
    """Return the left hand's low note for each span of *harmony*; without a chord the note before stays."""
    settings = settings or HarmonySettings()
    layers = [_places(span.chord, settings) for span in harmony.spans if span.chord is not None]
    path = iter(_cheapest_path(layers, settings))
    planned: list[int] = []
    for span in harmony.spans:
        if span.chord is not None:
            planned.append(next(path))
        else:
            planned.append(planned[-1] if planned else _places_of(harmony.key.tonic.pc, settings)[0])
    return tuple(planned)


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


def _cheapest_path(layers: Sequence[list[int]], settings: HarmonySettings) -> list[int]:
    """Return one pitch of each layer, of the least cost in all."""
    if not layers:
        return []
    totals = [_own_cost(pitch, settings) for pitch in layers[0]]
    back: list[list[int]] = []
    for before, layer in pairwise(layers):
        steps = []
        for pitch in layer:
            ways = [total + _move_cost(earlier, pitch) for earlier, total in zip(before, totals, strict=True)]
            steps.append(min(range(len(ways)), key=ways.__getitem__))
        totals = [
            totals[step] + _move_cost(before[step], pitch) + _own_cost(pitch, settings)
            for step, pitch in zip(steps, layer, strict=True)
        ]
        back.append(steps)
    index = min(range(len(totals)), key=totals.__getitem__)
    path = [layers[-1][index]]
    for layer, pointers in zip(reversed(layers[:-1]), reversed(back), strict=True):
        index = pointers[index]
        path.append(layer[index])
    return path[::-1]
