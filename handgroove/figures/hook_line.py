"""A hook's notes: an idea, its answer turned over, and a last bar that opens towards the song."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from handgroove.figures.context import Surroundings
from handgroove.figures.figure_costs import landing_step_cost, leap_cost, motion_cost, move_class
from handgroove.figures.figure_settings import FigureSettings
from handgroove.harmony.chord import Chord
from handgroove.harmony.symbols.scales import scale_in_key

IDEAS = 3
BELOW_LANDING = 4  # a hook sings around this much below the note that it leads up to
WIDEST_IDEA = 9


@dataclass(frozen=True, slots=True)
class HookLine:
    """Pitches and what they cost (lower is better)."""

    pitches: tuple[int, ...]
    cost: float


def find_centre(landing: int | None, settings: FigureSettings) -> int:
    """Return the pitch that a hook sings around: a little below its *landing*, well within the range."""
    middle = (settings.lowest + settings.highest) // 2 if landing is None else landing - BELOW_LANDING
    return max(settings.lowest + 9, min(settings.highest - 9, middle))


def _tones(chord: Chord, song: Surroundings, settings: FigureSettings, centre: int, scale: bool) -> list[int]:
    pcs = set(chord.tone_pcs)
    if scale:
        pcs |= {(chord.root.pc + step) % 12 for step in scale_in_key(chord, song.harmony.key)}
    return [
        pitch
        for pitch in range(max(settings.lowest, centre - 9), min(settings.highest, centre + 9) + 1)
        if pitch % 12 in pcs
    ]


def line_cost(pitches: Sequence[int], landing: int | None = None) -> float:
    """Return what a line costs as melody: its intervals, its leaps, its repeats, and the step to where it leads."""
    cost = 0.0
    for index in range(1, len(pitches)):
        size = pitches[index] - pitches[index - 1]
        cost += motion_cost(size)
        if index > 1:
            cost += leap_cost(move_class(pitches[index - 1] - pitches[index - 2]), size)
    if landing is not None:
        cost += landing_step_cost(landing - pitches[-1])
    return cost


def _lines(ladders: Sequence[Sequence[int]], landing: int | None, count: int) -> list[HookLine]:
    """Return the cheapest lines with one pitch of each ladder, by a beam wide enough for a bar of few notes."""
    beam: list[tuple[float, tuple[int, ...]]] = [(0.0, (pitch,)) for pitch in ladders[0]]
    for ladder in ladders[1:]:
        grown = [(line_cost((*line, pitch)), (*line, pitch)) for _, line in beam for pitch in ladder]
        beam = sorted(grown)[:160]
    finished = sorted((line_cost(line, landing), line) for _, line in beam)
    return [HookLine(line, cost) for cost, line in finished[:count]]


def find_ideas(
    chords: Sequence[Chord], song: Surroundings, settings: FigureSettings, centre: int, count: int = IDEAS
) -> list[HookLine]:
    """Find ideas: chord tones under every note, no note twice in a row, within a sixth or so."""
    ladders = [_tones(chord, song, settings, centre, scale=False) for chord in chords]
    found = []
    for line in _lines(ladders, None, 160):
        width = max(line.pitches) - min(line.pitches)
        if width > WIDEST_IDEA or width < 3 or any(a == b for a, b in pairwise(line.pitches)):
            continue
        middle = abs(sum(line.pitches) / len(line.pitches) - centre)
        root = 0.0 if line.pitches[0] % 12 == chords[0].root.pc else 0.3
        found.append(HookLine(line.pitches, line.cost + 0.08 * middle + root))
    found.sort(key=lambda line: (line.cost, line.pitches))
    chosen: list[HookLine] = []
    for line in found:
        shape = [b > a for a, b in pairwise(line.pitches)]
        alike = [
            other
            for other in chosen
            if other.pitches[0] == line.pitches[0] and [b > a for a, b in pairwise(other.pitches)] == shape
        ]
        if not alike:
            chosen.append(line)
        if len(chosen) == count:
            break
    return chosen


def find_answer(
    idea: HookLine, chords: Sequence[Chord], song: Surroundings, settings: FigureSettings, centre: int
) -> HookLine:
    """Find the answer to *idea*: its shape turned over, ending on a chord tone, the root if it can."""
    ladders = [
        _tones(chord, song, settings, centre, scale=index < len(chords) - 1)
        for index, chord in enumerate(chords)
    ]
    rises = idea.pitches[-1] >= idea.pitches[0]
    best, best_cost = idea, 1e9
    for line in _lines(ladders, idea.pitches[0], 160):
        turned = (line.pitches[-1] <= line.pitches[0]) == rises and line.pitches[0] != line.pitches[-1]
        repeats = any(a == b for a, b in pairwise(line.pitches))
        home = 0.0 if line.pitches[-1] % 12 == chords[-1].root.pc else 0.6
        near = 0.15 * abs(line.pitches[0] - max(idea.pitches))
        cost = (
            line.cost
            + home
            + near
            + 3.0 * (not turned)
            + 2.0 * repeats
            + 2.0 * (line.pitches == idea.pitches)
        )
        if (cost, line.pitches) < (best_cost, best.pitches):
            best, best_cost = line, cost
    return best


def find_lead_in(
    idea: HookLine, chords: Sequence[Chord], landing: int | None, song: Surroundings, settings: FigureSettings
) -> HookLine:
    """Find the last bar: the idea's rhythm and a pickup, opening towards *landing* by step."""
    centre = find_centre(landing, settings)
    ladders = [
        _tones(chord, song, settings, centre, scale=index > 0 or len(chords) > 1)
        for index, chord in enumerate(chords)
    ]
    best, best_cost = idea, 1e9
    for line in _lines(ladders, landing, 160):
        repeats = any(a == b for a, b in pairwise(line.pitches))
        joins = 0.1 * abs(line.pitches[0] - idea.pitches[0])
        width = max(line.pitches) - min(line.pitches)
        cost = line.cost + joins + 2.0 * repeats + 0.3 * (width < 3)
        if (cost, line.pitches) < (best_cost, best.pitches):
            best, best_cost = line, cost
    return best
