"""Which notes of a placed chord a hand takes when it takes fewer, or takes it otherwise.

Common practice, no source: two notes are third and seventh (third and sixth, fourth and seventh in a suspended chord),
in a triad the third with fifth or root; fifth and seventh only where the third is heard beside them; never a second.
"""

from __future__ import annotations

from enum import StrEnum
from functools import lru_cache

from handgroove.groove.suggest.cell_model import Touch
from handgroove.harmony.symbols.chord_model import Chord
from handgroove.harmony.voice.idioms import seventh, third

SECOND = 2  # semitones: two voices no farther apart rub
FULLEST = 4  # notes of a chord in one hand
HIGHEST = 79  # G5: no chord is lifted above it


class Wide(StrEnum):
    """How a chord is laid out: two guide tones, as voiced, a spread shell, or with its top doubled below."""

    PAIRS = "pairs"
    MEDIUM = "medium"
    OPEN = "open"
    FULL = "full"


def spread(
    chord: Chord, voicing: tuple[int, ...], wide: Wide, lowest: int, *, is_new: bool = False
) -> tuple[int, ...]:
    """Return *voicing* as *wide* as wanted, nothing added below *lowest*; *is_new*: the chord has just come."""
    if wide is Wide.PAIRS:
        return guide_pair(chord, voicing)
    if wide is Wide.OPEN:
        return open_shell(chord, voicing, lowest, named=is_new)
    below = voicing[-1] - 12
    if wide is Wide.FULL and len(voicing) < FULLEST and lowest <= below < voicing[0] - SECOND:
        return (below, *voicing)
    return voicing


def light(chord: Chord, voicing: tuple[int, ...], touch: Touch) -> tuple[int, ...]:
    """Return the one note that a light *touch* takes of *voicing*."""
    if touch is Touch.THUMB:
        return voicing[:1]
    if touch is Touch.INNER and len(voicing) > 2:
        return voicing[1:2]
    return (neighbour(chord, voicing),) if touch is Touch.NEIGHBOUR else voicing[-1:]


@lru_cache(maxsize=4096)
def guide_pair(chord: Chord, voicing: tuple[int, ...], *, upper: bool = False) -> tuple[int, ...]:
    """Return the two notes of *voicing* that say *chord* best, low to high; all of it where it has no more.

    With *upper* its two highest come first, where they are third and another, or the lowest is the third, and is heard
    beside them; and where they are no second.
    """
    if len(voicing) < 3:
        return voicing
    root = chord.root.pc
    middle = third(chord)
    high = seventh(chord)
    steps = [(pitch - root) % 12 for pitch in voicing]
    if upper and voicing[-1] - voicing[-2] > SECOND and (middle in steps[-2:] or steps[0] == middle):
        return voicing[-2:]
    best = [(middle, high), (middle, chord.fifth), (middle, 0), (high, chord.fifth), (0, chord.fifth)]
    for pair in best:
        chosen = tuple(pitch for pitch, step in zip(voicing, steps, strict=True) if step in pair)[-2:]
        if len(chosen) == 2 and chosen[1] - chosen[0] > SECOND and (chosen[1] - chosen[0]) % 12:
            return chosen
    return (voicing[0], voicing[-1])


@lru_cache(maxsize=4096)
def open_shell(
    chord: Chord, voicing: tuple[int, ...], lowest: int, *, named: bool = False
) -> tuple[int, ...]:
    """Return third and seventh of *voicing*, the upper one an octave lower, and one colour (else the fifth) on top.

    The pair stays close where it would come below *lowest*; a triad stays as it is. With *named* the colour is one that
    the symbol names: any other might be heard as left from the chord before.
    """
    guides = {third(chord), seventh(chord)}
    steps = {pitch: (pitch - chord.root.pc) % 12 for pitch in voicing}
    pair = [pitch for pitch in voicing if steps[pitch] in guides]
    if None in guides or len(pair) != 2 or len(voicing) < 3:
        return voicing
    inner, outer = pair[0], pair[1] - 12
    if outer < lowest or inner - outer <= SECOND:
        inner, outer = pair[1], pair[0]
    above = [pitch for pitch in voicing if pitch not in pair and pitch - inner > SECOND]
    above = [pitch for pitch in above if not named or pitch % 12 in chord.pcs]
    colours = [pitch for pitch in above if steps[pitch] not in (0, chord.fifth)] or above
    return (outer, inner, *colours[:1])


@lru_cache(maxsize=4096)
def lift(voicing: tuple[int, ...]) -> tuple[int, ...]:
    """Return *voicing* an inversion higher: its lowest note on top, unless that is too high or rubs there."""
    if len(voicing) < 2:
        return voicing
    top = voicing[0] + 12
    if top > HIGHEST or top - voicing[-1] <= SECOND:
        return voicing
    return (*voicing[1:], top)


@lru_cache(maxsize=4096)
def neighbour(chord: Chord, voicing: tuple[int, ...]) -> int:
    """Return the step of the chord's scale above the top of *voicing*; the top itself where no step is near."""
    top = voicing[-1]
    return next((pitch for pitch in (top + 2, top + 1) if pitch % 12 in chord.scale_pcs), top)
