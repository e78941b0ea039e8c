"""The left hand's lines of its own: in two (root and fifth), walking, and the half step that leads on.

Pitches are MIDI note numbers; all of it is common practice, no source. A line lies between C2 and B2 where roots do.
"""

from __future__ import annotations

from functools import lru_cache

from handgroove.harmony.symbols.chord_model import Chord
from handgroove.metre import beat_offsets
from handgroove.timeline import Metre

# E1, the string basses' lowest note, to C3: higher is the thumb's and the right hand's
LOWEST, HIGHEST = 28, 48
FIFTH_ABOVE_UNDER = 41  # F2: lower roots have their fifth above, where it is clear, higher ones below
FLAT_THIRTEENTH = 8  # semitones over the root: the fifth beside it jars
PHRASE_BARS = 4


def fifth_of(low: int, chord: Chord) -> int:
    """Return *chord*'s fifth beside its root *low*; a bass note that is not the root stays."""
    if low % 12 != chord.root.pc:
        return low
    return low + chord.fifth - (0 if low < FIFTH_ABOVE_UNDER else 12)


def leading_note(low: int, target: int) -> int | None:
    """Return the half step into *target* on *low*'s side; None where there is no room between them."""
    return None if abs(target - low) < 2 else target + (1 if low > target else -1)


def ends_phrase(bar: int, chord: Chord) -> bool:
    """Return whether a line in two leads on from *chord* in *bar*, and does not have its fifth."""
    return bar % PHRASE_BARS == 0 or FLAT_THIRTEENTH in chord.tensions


def middle_of(metre: Metre) -> int:
    """Return the offset of the beat that the bar's second half begins with, the longer half first (5/4: 3 and 2)."""
    offsets = beat_offsets(metre)
    return offsets[(len(offsets) + 1) // 2] if len(offsets) > 1 else 0


@lru_cache(maxsize=512)
def walk(low: int, chord: Chord, target: int, beats: int) -> tuple[int, ...]:
    """Return a walking line of *beats* notes from *low* through *chord*'s tones, by half step into *target*.

    Of all such lines it is the one that moves most evenly; its root is not struck twice, but of a bare fifth.
    """
    if beats < 2:
        return (low,) * beats
    best: dict[int, tuple[int, tuple[int, ...]]] = {low: (0, (low,))}
    others = chord.pcs - {low % 12}
    used = others if len(others) > 1 else chord.pcs
    tones = [pitch for pitch in range(LOWEST, HIGHEST + 1) if pitch % 12 in used and pitch != low]
    for _ in range(beats - 2):
        best = {
            tone: min(
                (cost + (tone - at) ** 2, (*path, tone)) for at, (cost, path) in best.items() if at != tone
            )
            for tone in tones
            if best.keys() - {tone}
        } or best
    ways = []
    for pitch, (cost, path) in best.items():
        side = 1 if pitch > target + 1 or pitch == target - 1 else -1
        ways.append((cost + (target + side - pitch) ** 2, (*path, target + side)))
    return min(ways)[1]
