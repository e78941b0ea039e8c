"""Right-hand chords by idiom: which notes of a chord are voiced, before they are placed on the keyboard.

A recipe is a tuple of semitones above the root; the voicings of a chord are its recipes' inversions inside the range.
All of this is common practice at the keyboard, no source: triads keep root, third and fifth; rootless chords leave
the root to the left hand; shells are third and seventh; quartal chords stack fourths from the chord's scale.
"""

from __future__ import annotations

import itertools
from functools import lru_cache

from handgroove.harmony.symbols.chord_model import Chord, Key
from handgroove.harmony.symbols.scales import scale_in_key
from handgroove.harmony.voice.voicing_settings import HarmonySettings, Idiom

Recipe = tuple[int, ...]


def third(chord: Chord) -> int | None:
    """Return the chord's third, or the fourth or second that is suspended for it, in semitones above the root."""
    return next((step for step in (4, 3, 5, 2) if step in chord.tones), None)


def seventh(chord: Chord) -> int | None:
    """Return the chord's seventh (for a diminished or sixth chord the sixth), in semitones above the root."""
    return next((step for step in (10, 11, 9) if step in chord.tones), None)


def colours(chord: Chord, key: Key | None) -> tuple[int, ...]:
    """Return the tensions to voice: the symbol's, else those that *key* allows (no eleventh on a major third)."""
    if chord.tensions or {3, 6, 9} <= set(chord.tones):
        return chord.tensions
    scale = scale_in_key(chord, key)
    minor = 3 in chord.tones
    allowed = {2, 5} if minor else {2, 9} if chord.fifth == 7 else {2}
    if 10 in chord.tones and not minor:
        allowed |= {1, 8} if 2 not in scale else set()
    avoided = {9} if 11 in chord.tones and minor else set()
    return tuple(step for step in scale if step in allowed - avoided and step not in chord.tones)


def is_triad(chord: Chord) -> bool:
    """Return whether the chord has neither seventh nor sixth."""
    return seventh(chord) is None


@lru_cache(maxsize=1024)
def recipes(chord: Chord, idiom: Idiom, colour: bool, most_notes: int, key: Key | None) -> tuple[Recipe, ...]:
    """Return the recipes of *chord* in *idiom*, the likeliest first; each has at most *most_notes* notes."""
    found = _RECIPES[_settle_idiom(chord, idiom)](chord, colour, key)
    fitting = [tuple(dict.fromkeys(recipe)) for recipe in found if 1 <= len(set(recipe)) <= most_notes]
    return tuple(dict.fromkeys(fitting)) or (chord.tones[: max(1, most_notes)],)


def _settle_idiom(chord: Chord, idiom: Idiom) -> Idiom:
    """Return the idiom that a chord is voiced in: what *idiom* can't do for it falls back to what can."""
    if len(chord.tones) < 3:
        return Idiom.OPEN_FIFTHS
    if idiom is Idiom.AUTO:
        return Idiom.TRIADS if is_triad(chord) else Idiom.ROOTLESS
    if idiom in (Idiom.ROOTLESS, Idiom.SHELLS) and is_triad(chord):
        return Idiom.TRIADS
    return idiom


def _triads(chord: Chord, colour: bool, key: Key | None) -> list[Recipe]:
    """Return root, third and fifth; an added ninth takes the root's place."""
    middle = third(chord)
    base: Recipe = (0, chord.fifth) if middle is None else (0, middle, chord.fifth)
    if 2 in chord.tones and 5 in chord.tones:
        base = (0, 2, 5, 7)
    if not is_triad(chord):
        upper = seventh(chord)
        return [(*base, upper or 10), base]
    if chord.tensions:
        return [(*base[1:], chord.tensions[0]), (*base, chord.tensions[0])]
    return [base]


def _open_fifths(chord: Chord, colour: bool, key: Key | None) -> list[Recipe]:
    """Return root and fifth, the root doubled where there is room."""
    fifth = chord.fifth if any(step in chord.tones for step in (6, 7, 8)) else 0
    return [(0, fifth)] if fifth else [chord.tones]


def _shells(chord: Chord, colour: bool, key: Key | None) -> list[Recipe]:
    """Return third and seventh, with one tension above them if colour is wanted or named."""
    shell = (third(chord) or 7, seventh(chord) or 10)
    tensions = colours(chord, key) if colour else chord.tensions
    return [(*shell, step) for step in tensions] or [shell]


def _rootless(chord: Chord, colour: bool, key: Key | None) -> list[Recipe]:
    """Return third, fifth and seventh, or with tensions: the ninth for the root, the thirteenth for the fifth."""
    middle, upper = third(chord), seventh(chord)
    fifth = chord.fifth if any(step in chord.tones for step in (6, 7, 8)) else None
    plain = tuple(step for step in (middle, fifth, upper) if step is not None)
    core = tuple(step for step in plain if step != 7)  # an altered fifth belongs to the chord's sound
    tensions = colours(chord, key) if colour else chord.tensions
    if not tensions:
        return [plain]
    ninths = [step for step in tensions if step in (1, 2, 3)]
    elevenths = [step for step in tensions if step in (5, 6)]
    thirteenths = [step for step in tensions if step in (8, 9)]
    with_ninth = [(*plain, ninth) for ninth in ninths]
    with_upper = [(*core, high, *ninths[:1]) for high in thirteenths or elevenths]
    if chord.tensions:  # what the symbol names must be heard
        return [*(with_upper or with_ninth), *((*core, step) for step in thirteenths or elevenths or ninths)]
    # Where we choose, only a dominant wants its thirteenth first.
    dominant = 4 in chord.tones and 10 in chord.tones
    found = with_upper + with_ninth if dominant else with_ninth + with_upper
    return found + [(*core, step) for step in ninths or tensions]


def _quartal(chord: Chord, colour: bool, key: Key | None) -> list[Recipe]:
    """Return stacks of three fourths from the chord's scale that hold the third or the seventh and avoid what rubs."""
    scale = scale_in_key(chord, key)
    rubbing = {(step + 1) % 12 for step in chord.tones} - set(chord.tones) - set(chord.tensions)
    wanted = {step for step in (third(chord), seventh(chord)) if step is not None}
    found = []
    for start in range(len(scale)):
        stack = [scale[(start + 3 * count) % len(scale)] for count in range(3)]
        gaps = {(high - low) % 12 for low, high in itertools.pairwise(stack)}
        if gaps <= {5, 6} and not rubbing & set(stack) and wanted & set(stack):
            found.append(tuple(stack))
    return found or _rootless(chord, colour, key)


_RECIPES = {
    Idiom.TRIADS: _triads,
    Idiom.OPEN_FIFTHS: _open_fifths,
    Idiom.SHELLS: _shells,
    Idiom.ROOTLESS: _rootless,
    Idiom.QUARTAL: _quartal,
}


def voiced(chord: Chord, settings: HarmonySettings, key: Key | None) -> tuple[Recipe, ...]:
    """Return the recipes of *chord* under *settings*."""
    return recipes(chord, settings.idiom, settings.colour, settings.most_notes, key)
