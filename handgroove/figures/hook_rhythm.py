"""A hook's rhythm: a few strokes of the groove itself, those that carry it, with rests between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from handgroove.groove.know.cells import BarCells, Voice

CARRIES = {
    Voice.KICK: 1.0,
    Voice.SNARE: 1.0,
    Voice.TOM: 0.8,
    Voice.CRASH: 0.5,
    Voice.OPEN: 0.5,
    Voice.HAND: 0.6,
}
MOST_SLOTS = 10


@dataclass(frozen=True, slots=True)
class Rhythm:
    """The slots of a bar that a hook's idea is made of, how good they are together, and why, in words."""

    slots: tuple[int, ...]
    score: float
    words: str


def find_rhythms(bar: BarCells, beats: int, count: int = 3) -> list[Rhythm]:
    """Find the best rhythms of three and four notes among the strokes of *bar*, which has *beats* beats."""
    weights: dict[int, float] = {}
    voices: dict[int, set[Voice]] = {}
    for slot, voice in bar.cells:
        if voice in CARRIES:
            weights[slot] = max(weights.get(slot, 0.0), CARRIES[voice])
            voices.setdefault(slot, set()).add(voice)
    if not weights:
        weights = {round(beat * bar.slots / beats): 0.5 for beat in range(beats)}
    slots = sorted(sorted(weights, key=lambda s: (-weights[s], s))[:MOST_SLOTS])
    beat = bar.slots / beats
    found = []
    for size in (3, 4, 2):
        for chosen in combinations(slots, size):
            if size == 2 and len(slots) > 2:
                continue
            found.append(Rhythm(chosen, _score(chosen, weights, voices, beat, bar.slots), ""))
    found.sort(key=lambda rhythm: (-rhythm.score, rhythm.slots))
    return [
        Rhythm(rhythm.slots, rhythm.score, _words(rhythm.slots, voices, beat)) for rhythm in found[:count]
    ] or [Rhythm(tuple(slots), 0.0, "the groove's own strokes")]


def _score(
    chosen: Sequence[int],
    weights: dict[int, float],
    voices: dict[int, set[Voice]],
    beat: float,
    slots: int,
) -> float:
    """Return how good a rhythm is: strong strokes, room between them, a push among them, kick and snare both."""
    gaps = [b - a for a, b in pairwise((*chosen, chosen[0] + slots))]
    strength = sum(weights.get(slot, 0.0) for slot in chosen) / len(chosen)
    crowded = sum(gap < 1.25 * beat for gap in gaps[:-1])
    pushes = sum(slot % beat != 0 for slot in chosen)
    heard = {voice for slot in chosen for voice in voices.get(slot, ())}
    both = Voice.KICK in heard and Voice.SNARE in heard
    uneven = max(gaps) - min(gaps)
    return (
        strength
        + 0.5 * (chosen[0] == 0)
        + 0.5 * (pushes == 1)
        + 0.1 * (pushes > 1)
        + 0.4 * both
        - 0.5 * crowded
        - 0.08 * uneven / (beat / 2)
        - 0.1 * abs(len(chosen) - 3)
    )


def _words(chosen: Sequence[int], voices: dict[int, set[Voice]], beat: float) -> str:
    parts = []
    for slot in chosen:
        number, rest = divmod(slot, beat)
        sign = {0.0: "", 0.5: "&", 0.25: "e", 0.75: "a"}.get(rest / beat, "+")
        here = voices.get(slot, set())
        drum = next(
            (voice.value for voice in (Voice.KICK, Voice.SNARE, Voice.TOM, Voice.OPEN) if voice in here),
            "hat",
        )
        parts.append(f"{int(number) + 1}{sign} ({drum})")
    return "made of the groove's own " + ", ".join(parts)
