"""Right-hand chords placed on the keyboard so that they lead smoothly.

Offline the whole harmony is planned by dynamic programming; live the next chord is chosen from the last one alone, by
the same costs. A cost of 1 is one semitone moved by one voice. Pitches are MIDI note numbers, low to high.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from handgroove.harmony.charts.chart_model import Harmony
from handgroove.harmony.symbols.chord_model import Chord, Key
from handgroove.harmony.voice.idioms import third, voiced
from handgroove.harmony.voice.low_limits import is_muddy
from handgroove.harmony.voice.low_notes import plan_low
from handgroove.harmony.voice.voicing_settings import LINE_RANGE, HarmonySettings, Idiom, TopLine

Voicing = tuple[int, ...]

MOST_CANDIDATES = 16
WIDEST = 12  # an octave: what any hand reaches
_CENTRE_WEIGHT = 0.25  # for each semitone that the chord's middle is off the hand's centre
_RECIPE_WEIGHT = 1.5  # for each place down the idiom's list
_MUD = 20.0
_RUB = 8.0  # a semitone between the two highest notes: harsh on top, half as much at the bottom
_TOP_WEIGHT = 0.5  # the ear follows the top voice: its leaps cost more
_OVER_MELODY = 1000.0
_ON_THE_THUMB = 5.0  # the lowest note on or under the left thumb's octave
_PARALLEL = 1.5  # top voice and bass in octaves or fifths one after the other


def plan_voicings(
    harmony: Harmony,
    settings: HarmonySettings | None = None,
    melody: Sequence[int | None] = (),
    lows: Sequence[int] | None = None,
) -> tuple[Voicing, ...]:
    """Return a right-hand voicing for each span of *harmony*, together moving as little as may be.

    *melody* gives, span by span, the highest pitch that the voicing may have (None = no limit). *lows* are
    the left hand's low notes (planned here where not given): voicings stay above their octave, and top and bass do not
    move in parallel octaves or fifths if they can help it. Without a chord (N.C.) the voicing before stays, or is empty
    at the start.
    """
    settings = settings or HarmonySettings()
    lows = plan_low(harmony, settings) if lows is None else lows
    sounding = [index for index, span in enumerate(harmony.spans) if span.chord is not None]
    layers: list[list[tuple[Voicing, float]]] = []
    for index in sounding:
        chord = harmony.spans[index].chord
        assert chord is not None
        ceiling = melody[index] if index < len(melody) else None
        layer = candidates(chord, settings, harmony.key, ceiling)
        thumb = lows[index] + (0 if settings.low_range == LINE_RANGE else 12)  # over a line no thumb stays
        layers.append([(v, cost + (_ON_THE_THUMB if v and v[0] <= thumb else 0.0)) for v, cost in layer])
    basses = [lows[index] for index in sounding]
    path = dict(zip(sounding, _cheapest_path(layers, basses, settings.top), strict=True))
    planned: list[Voicing] = []
    for index in range(len(harmony.spans)):
        planned.append(path.get(index, planned[-1] if planned else ()))
    return tuple(planned)


def next_voicing(
    previous: Voicing,
    chord: Chord | None,
    settings: HarmonySettings | None = None,
    key: Key | None = None,
    melody: int | None = None,
) -> Voicing:
    """Return the voicing of *chord* that is nearest to *previous* (empty = none yet), with no look ahead."""
    if chord is None:
        return previous
    settings = settings or HarmonySettings()
    layer = candidates(chord, settings, key, melody)
    return min(layer, key=lambda one: one[1] + move_cost(previous, one[0], settings.top))[0]


def _cheapest_path(
    layers: list[list[tuple[Voicing, float]]], basses: Sequence[int], top: TopLine
) -> list[Voicing]:
    """Return one voicing of each layer over its bass note, of the least cost in all."""
    if not layers:
        return []
    totals = [cost for _, cost in layers[0]]
    back: list[list[int]] = []
    for place, (before, layer) in enumerate(pairwise(layers)):
        bass, next_bass = basses[place], basses[place + 1]
        new_totals, pointers = [], []
        for voicing, cost in layer:
            perfect = bass != next_bass and voicing and (voicing[-1] - next_bass) % 12 in (0, 7)
            best, pointer = float("inf"), 0
            for index, (earlier, _) in enumerate(before):
                total = totals[index] + move_cost(earlier, voicing, top)
                if perfect:
                    total += parallel_cost(earlier, voicing, bass, next_bass)
                if total < best:
                    best, pointer = total, index
            new_totals.append(best + cost)
            pointers.append(pointer)
        totals = new_totals
        back.append(pointers)
    index = min(range(len(totals)), key=totals.__getitem__)
    path = [layers[-1][index][0]]
    for layer, pointers in zip(reversed(layers[:-1]), reversed(back), strict=True):
        index = pointers[index]
        path.append(layer[index][0])
    return path[::-1]


def parallel_cost(before: Voicing, after: Voicing, bass: int, next_bass: int) -> float:
    """Return what it costs where top voice and bass go in parallel octaves or fifths."""
    if not before or not after or bass == next_bass or before[-1] == after[-1]:
        return 0.0
    interval = (after[-1] - next_bass) % 12
    return _PARALLEL if interval in (0, 7) and (before[-1] - bass) % 12 == interval else 0.0


@lru_cache(maxsize=65536)
def move_cost(before: Voicing, after: Voicing, top: TopLine = TopLine.FREE) -> float:
    """Return what going from *before* to *after* costs: semitones moved, and a little more for the top voice."""
    if not before:
        return 0.0
    rise = after[-1] - before[-1]
    cost = movement(before, after) + _TOP_WEIGHT * max(0, abs(rise) - 2)
    if top is TopLine.HELD:
        cost += 2.0 * abs(rise)
    elif top is TopLine.MOVING and rise == 0:
        cost += 3.0
    return cost


@lru_cache(maxsize=65536)
def movement(before: Voicing, after: Voicing) -> int:
    """Return the least total semitones by which the notes of *before* can move to *after*.

    With as many notes each moves to one (in order, which is least on a line). With more on one side, each note of
    the larger chord goes to or comes from one of the smaller, none left out.
    """
    if len(before) == len(after):
        return sum(abs(a - b) for a, b in zip(before, after, strict=True))
    small, large = sorted((before, after), key=len)
    # Each note of the large chord is given to a note of the small one, in order, every small one at least once.
    infinity = 10_000
    row = [infinity] * len(small)
    for place, pitch in enumerate(large):
        new = [infinity] * len(small)
        for index, target in enumerate(small):
            stay = row[index] if place else infinity
            step = (row[index - 1] if index else infinity) if place else (0 if index == 0 else infinity)
            new[index] = min(stay, step) + abs(pitch - target)
        row = new
    return row[-1]


def candidates(
    chord: Chord, settings: HarmonySettings, key: Key | None, ceiling: int | None = None
) -> list[tuple[Voicing, float]]:
    """Return the voicings of *chord* that are worth a try, each with its own cost, cheapest first.

    None goes above *ceiling*; where none fits under it the lowest are offered, cut at the ceiling.
    """
    placed = _placed(chord, settings, key)
    if ceiling is None:
        return list(placed[:MOST_CANDIDATES])
    under = [one for one in _placed(chord, settings, key, ceiling) if one[0][-1] <= ceiling]
    if under:
        return under[:MOST_CANDIDATES]
    cut = {tuple(p for p in voicing if p <= ceiling): cost for voicing, cost in reversed(placed)}
    return [(voicing, cost + _OVER_MELODY) for voicing, cost in cut.items() if voicing][
        -MOST_CANDIDATES:
    ] or [((), 0.0)]


@lru_cache(maxsize=4096)
def _placed(
    chord: Chord, settings: HarmonySettings, key: Key | None, ceiling: int | None = None
) -> tuple[tuple[Voicing, float], ...]:
    """Return every inversion of every recipe of *chord* inside the range, with its cost, cheapest first."""
    lowest, highest = settings.right_range
    centre = settings.centre
    if ceiling is not None:
        highest = min(highest, ceiling)
        lowest = min(lowest, ceiling - WIDEST)
        centre = min(centre, ceiling - 4)
    found: dict[Voicing, float] = {}
    for rank, recipe in enumerate(voiced(chord, settings, key)):
        stack = settings.idiom is Idiom.QUARTAL
        for voicing in _inversions(chord.root.pc, recipe, lowest, highest, in_order=stack):
            cost = rank * _RECIPE_WEIGHT + _own_cost(voicing, chord, centre)
            found[voicing] = min(cost, found.get(voicing, cost))
    if not found:  # a range too small for any: the first recipe as low as it goes
        recipe = voiced(chord, settings, key)[0]
        return tuple(
            (v, 0.0) for v in _inversions(chord.root.pc, recipe, lowest, lowest + 24, in_order=False)
        )
    return tuple(sorted(found.items(), key=lambda one: (one[1], one[0])))


def _inversions(
    root_pc: int, recipe: tuple[int, ...], lowest: int, highest: int, *, in_order: bool
) -> list[Voicing]:
    """Return the close voicings of *recipe* between *lowest* and *highest*, whichever note is at the bottom."""
    pcs = [(root_pc + step) % 12 for step in recipe]
    orders = [pcs] if in_order else [pcs[i:] + pcs[:i] for i in range(len(pcs))]
    if not in_order:
        circle = sorted(pcs)
        orders = [circle[i:] + circle[:i] for i in range(len(circle))]
    found = []
    for order in orders:
        shape = [0]
        for below, pc in pairwise(order):
            shape.append(shape[-1] + ((pc - below) % 12 or 12))
        first = lowest + (order[0] - lowest) % 12
        for bottom in range(first, highest + 1, 12):
            if bottom + shape[-1] <= highest and shape[-1] <= WIDEST:
                found.append(tuple(bottom + step for step in shape))
    return found


def _own_cost(voicing: Voicing, chord: Chord, centre: int) -> float:
    """Return what *voicing* costs by itself: off the hand's centre, mud, rubbing seconds, a doubled third."""
    middle = (voicing[0] + voicing[-1]) / 2
    cost = _CENTRE_WEIGHT * abs(middle - centre)
    pairs = list(pairwise(voicing))
    cost += sum(_MUD for low, high in pairs if is_muddy(low, high))
    if len(voicing) > 1:
        cost += _RUB * (voicing[-1] - voicing[-2] == 1) + _RUB / 2 * (voicing[1] - voicing[0] == 1)
    if 3 in chord.tensions and 4 in chord.tones:  # a raised ninth sings above the third, and grates under it
        raised = (chord.root.pc + 3) % 12
        cost += sum(2 * _RUB for low, high in pairs if low % 12 == raised and high - low == 1)
    heard = third(chord)
    if heard is not None and sum(p % 12 == (chord.root.pc + heard) % 12 for p in voicing) > 1:
        cost += 2.0
    return cost
