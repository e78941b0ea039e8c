"""Names for pitches by the key and the chord, and the accidentals that a bar needs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from handgroove.harmony.chord import Chord, Key, Name
from handgroove.harmony.symbols.names import fifths, plainer
from handgroove.harmony.symbols.spelling import spell
from handgroove.output.score.sheet_model import Symbol

_SHARPS = "FCGDAEB"
_SIGNS = {0: "natural", 1: "sharp", -1: "flat", 2: "double-sharp", -2: "flat-flat"}


def signature(key: Key) -> dict[str, int]:
    """Return what the key signature does to each letter."""
    count = fifths(key)
    sharps = dict.fromkeys(_SHARPS[: max(0, count)], 1)
    return {**dict.fromkeys("CDEFGAB", 0), **sharps, **dict.fromkeys(_SHARPS[::-1][: max(0, -count)], -1)}


def plain_spelling(pitch: int, key: Key, chord: Chord | None) -> tuple[Name, int]:
    """Return the name and octave of *pitch*, by the chord, but never with a double sharp or flat to read."""
    name, octave = spell(pitch, key, chord)
    if abs(name.alter) < 2:
        return name, octave
    name = plainer(name)
    return name, (pitch - name.alter) // 12 - 1


def add_accidentals(bars: Iterable[Sequence[Sequence[Symbol]]], key: Key) -> None:
    """Set the accidentals of one staff, given the symbols of its voices bar by bar.

    An accidental holds for its octave to the end of the bar. A courtesy accidental reminds where the same letter
    was altered in another octave of the bar or in the bar before (Gould, *Behind Bars*, "Accidentals", from memory).
    """
    given = signature(key)
    before: set[str] = set()
    for voices in bars:
        state: dict[tuple[str, int], int] = {}
        foreign: set[str] = set()
        for symbol in sorted((s for voice in voices for s in voice), key=lambda s: s.tick):
            for head in [*symbol.graces, *symbol.heads]:
                letter, place = head.name.letter, (head.name.letter, head.octave)
                if head.tied_from:
                    if head.name.alter != given[letter]:
                        foreign.add(letter)
                    continue
                if head.name.alter != state.get(place, given[letter]):
                    head.accidental = _SIGNS[head.name.alter]
                elif place not in state and (letter in before or _clashes(state, letter, head.name.alter)):
                    head.accidental, head.courtesy = _SIGNS[head.name.alter], True
                state[place] = head.name.alter
                if head.name.alter != given[letter]:
                    foreign.add(letter)
                before.discard(letter)
        before = foreign


def _clashes(state: dict[tuple[str, int], int], letter: str, alter: int) -> bool:
    return any(other == letter and value != alter for (other, _), value in state.items())
