"""Voice leading against the least motion that is possible.

Sources: D. Tymoczko (2006), "The geometry of musical chords", Science 313:72-74 (efficient voice leading as least total
motion of pitch classes, one to one); the numbers below were computed from that definition by exhaustive search. The
planner is held against an exhaustive search over the same candidates.
"""

from __future__ import annotations

from itertools import pairwise, permutations, product

import pytest

from handgroove.harmony.chord import parse_chord
from handgroove.harmony.voice.low_notes import plan_low
from handgroove.harmony.voice.voicing_settings import HarmonySettings, Idiom
from handgroove.harmony.voice.voicings import candidates, move_cost, movement, parallel_cost, plan_voicings
from tests.harmony.made_charts import laid

TRIADS = HarmonySettings(idiom=Idiom.TRIADS)

# least motion from C major to each triad, in semitones
FROM_C = {
    **{"C#": 3, "D": 6, "Eb": 3, "E": 2, "F": 3, "F#": 6, "G": 3, "Ab": 2, "A": 3, "Bb": 6, "B": 3},
    **{
        "Cm": 1,
        "C#m": 2,
        "Dm": 5,
        "Ebm": 4,
        "Em": 1,
        "Fm": 2,
        "F#m": 5,
        "Gm": 4,
        "Abm": 3,
        "Am": 2,
        "Bbm": 5,
        "Bm": 4,
    },
}
SEVENTHS = {
    **{("Dm7", "G7"): 3, ("G7", "Cmaj7"): 3, ("Dm7", "Db7"): 3, ("Db7", "Cmaj7"): 3},
    **{("Bm7b5", "E7"): 2, ("Cmaj7", "Am7"): 2, ("Cmaj7", "Fmaj7"): 4},
}


def least_motion(before: str, after: str) -> int:
    """Return the least total motion between two chords' pitch classes, one to one, by trying every pairing."""
    first, second = parse_chord(before).tone_pcs, parse_chord(after).tone_pcs
    return min(
        sum(min((a - b) % 12, (b - a) % 12) for a, b in zip(first, order, strict=True))
        for order in permutations(second)
    )


@pytest.mark.parametrize(("after", "motion"), FROM_C.items())
def test_the_published_least_motions_are_reached_by_our_triads(after: str, motion: int) -> None:
    """From some voicing of C to one of each triad our candidates move no more than is needed."""
    assert least_motion("C", after) == motion
    wide = HarmonySettings(idiom=Idiom.TRIADS, right_range=(48, 84))
    ours = min(
        movement(a, b)
        for a, _ in candidates(parse_chord("C"), wide, None)
        for b, _ in candidates(parse_chord(after), wide, None)
    )
    assert ours == motion


@pytest.mark.parametrize(("pair", "motion"), SEVENTHS.items())
def test_sevenths_move_the_least(pair: tuple[str, str], motion: int) -> None:
    """Four-note sevenths reach the least motion too."""
    assert least_motion(*pair) == motion
    first, second = (candidates(parse_chord(symbol), TRIADS, None) for symbol in pair)
    assert min(movement(a, b) for a, _ in first for b, _ in second if len(a) == len(b) == 4) == motion


PROGRESSIONS = (
    "| C | Am | F | G |",
    "| Dm7 | G7 | Cmaj7 | A7 |",
    "| Am | F | C/E | E7 |",
    "| Bm7b5 | E7 | Am7 | D7 |",
    "| C | Gm7 | C7 | F |",
)


@pytest.mark.parametrize("text", PROGRESSIONS)
@pytest.mark.parametrize("idiom", [Idiom.TRIADS, Idiom.ROOTLESS, Idiom.SHELLS])
def test_the_plan_is_the_exact_minimum(text: str, idiom: Idiom) -> None:
    """No choice of candidates costs less than the plan: dynamic programming finds what trying all finds."""
    settings = HarmonySettings(idiom=idiom)
    harmony = laid(text)
    full = [dict(candidates(s.chord, settings, harmony.key)) for s in harmony.spans if s.chord]
    lows = plan_low(harmony, settings)

    def cost(path: tuple[tuple[int, ...], ...]) -> float:
        own = sum(costs[voicing] for costs, voicing in zip(full, path, strict=True))
        moves = sum(move_cost(a, b) for a, b in pairwise(path))
        over_bass = zip(pairwise(path), pairwise(lows), strict=True)
        return own + moves + sum(parallel_cost(a, b, low, next_low) for (a, b), (low, next_low) in over_bass)

    layers = [list(costs)[:9] for costs in full]
    assert cost(plan_voicings(harmony, settings)) <= min(cost(path) for path in product(*layers)) + 1e-9


@pytest.mark.parametrize(
    "text", ["| C | Am | F | G |", "| Am | F | C | E |", "| C | Em | F | Fm | C |", "| D | Bm | G | A |"]
)
def test_the_plan_moves_little_more_than_the_least(text: str) -> None:
    """The hand's place and the top line cost two semitones at most beyond the least total motion."""
    harmony = laid(text)
    plan = plan_voicings(harmony, TRIADS)
    symbols = [s.chord.symbol for s in harmony.spans if s.chord]
    moved = sum(movement(a, b) for a, b in pairwise(plan))
    least = sum(least_motion(a, b) for a, b in pairwise(symbols))
    assert least <= moved <= least + 2
