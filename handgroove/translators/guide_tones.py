"""Which notes of a placed chord a hand takes when it takes fewer, or takes it otherwise.

Common practice, no source: two notes are third and seventh (third and sixth, fourth and seventh in a suspended chord),
in a triad the third with fifth or root; fifth and seventh only where the third is heard beside them; never a second.
"""

from __future__ import annotations

from functools import lru_cache

from handgroove.harmony.symbols.chord_model import Chord
from handgroove.harmony.voice.idioms import seventh, third

SECOND = 2  # semitones: two voices no farther apart rub
HIGHEST = 79  # G5: no chord is lifted above it


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
        if len(chosen) == 2 and chosen[1] - chosen[0] > SECOND and steps_differ(chosen):
            return chosen
    return (voicing[0], voicing[-1])


def steps_differ(pair: tuple[int, ...]) -> bool:
    """Return whether the two of *pair* are more than one note in two octaves."""
    return (pair[1] - pair[0]) % 12 != 0


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
