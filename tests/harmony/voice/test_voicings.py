from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.harmony.chord import parse_chord
from handgroove.harmony.voice.low_notes import plan_low
from handgroove.harmony.voice.voicing_settings import HarmonySettings, Idiom, TopLine
from handgroove.harmony.voice.voicings import (
    candidates,
    move_cost,
    movement,
    next_voicing,
    parallel_cost,
    plan_voicings,
)
from tests.harmony.made_charts import CHANGES, laid
from tests.harmony.mud import find_mud

IDIOMS = list(Idiom)


def test_rootless_sevenths_move_one_voice() -> None:
    """Am7 is C4 E4 G4 and goes to Fmaj7 as C4 E4 A4: one voice moves, by two semitones."""
    assert plan_voicings(laid("| Am7 | Fmaj7 |")) == ((60, 64, 67), (60, 64, 69))


def test_landing_under_the_melody() -> None:
    """G7 lands on C with G3 C4 E4 where the melody's E4 is the top."""
    planned = plan_voicings(laid("| G7 | C |"), melody=[None, 64])
    assert planned[1] == (55, 60, 64)


def test_live_takes_the_nearest() -> None:
    """With no look ahead the next chord is the nearest voicing to the last."""
    first = next_voicing((), parse_chord("Am7"))
    assert first == (60, 64, 67)
    assert next_voicing(first, parse_chord("Fmaj7")) == (60, 64, 69)
    assert next_voicing(first, None) == first


def test_no_chord_keeps_the_voicing() -> None:
    """Over N.C. the voicing before stays, and there is none at the start."""
    planned = plan_voicings(laid("| N.C. | C | N.C. | F |"))
    assert planned[0] == ()
    assert planned[2] == planned[1] != ()
    assert plan_voicings(laid("| N.C. |")) == ((),)


@pytest.mark.parametrize("idiom", IDIOMS)
@pytest.mark.parametrize("colour", [False, True])
def test_every_voicing_can_be_played_and_heard(idiom: Idiom, colour: bool) -> None:
    """In every idiom voicings stay in range and in an octave, have at most four notes, none twice, and no mud."""
    choice = HarmonySettings(idiom=idiom, colour=colour)
    harmony = laid(CHANGES)
    lowest, highest = choice.right_range
    for voicing in plan_voicings(harmony, choice):
        assert 2 <= len(voicing) <= choice.most_notes
        assert lowest <= voicing[0] <= voicing[-1] <= highest
        assert voicing[-1] - voicing[0] <= 12
        assert len(set(voicing)) == len(voicing)
        assert not find_mud(voicing)


@pytest.mark.parametrize("idiom", [Idiom.AUTO, Idiom.TRIADS, Idiom.SHELLS, Idiom.ROOTLESS, Idiom.OPEN_FIFTHS])
def test_voicings_hold_only_what_the_symbol_says(idiom: Idiom) -> None:
    """Without added colour no voicing has a note that the chord lacks."""
    harmony = laid(CHANGES)
    for span, voicing in zip(
        harmony.spans, plan_voicings(harmony, HarmonySettings(idiom=idiom)), strict=True
    ):
        if span.chord is not None:
            assert {pitch % 12 for pitch in voicing} <= span.chord.pcs


@pytest.mark.parametrize(
    ("idiom", "symbol", "pcs"),
    [
        (Idiom.TRIADS, "F", {5, 9, 0}),
        (Idiom.OPEN_FIFTHS, "Fmaj7", {5, 0}),
        (Idiom.SHELLS, "Fmaj7", {9, 4}),
        (Idiom.ROOTLESS, "Fmaj7", {9, 0, 4}),
        (Idiom.ROOTLESS, "G13", {11, 5, 9, 4}),
        (Idiom.AUTO, "C5", {0, 7}),
        (Idiom.AUTO, "Csus4", {0, 5, 7}),
        (Idiom.AUTO, "C7alt", {4, 10}),
    ],
)
def test_idioms_choose_their_notes(idiom: Idiom, symbol: str, pcs: set[int]) -> None:
    """Triads keep the root, rootless and shells leave it out; what the idiom wants is there."""
    best = candidates(parse_chord(symbol), HarmonySettings(idiom=idiom), None)[0][0]
    assert pcs <= {pitch % 12 for pitch in best}
    if idiom in (Idiom.ROOTLESS, Idiom.SHELLS):
        assert parse_chord(symbol).root.pc not in {pitch % 12 for pitch in best}


def test_quartal_chords_stack_fourths() -> None:
    """Quartal voicings are perfect or augmented fourths, from the chord's scale."""
    for voicing, _ in candidates(parse_chord("Dm7"), HarmonySettings(idiom=Idiom.QUARTAL), None):
        assert all(high - low in (5, 6) for low, high in pairwise(voicing))


def test_top_line_held_or_moving() -> None:
    """A held top line moves less than a free one, a moving one repeats its note less."""
    harmony = laid("|: C Am | F G | Em Am | Dm G :|")
    tops = {top: [v[-1] for v in plan_voicings(harmony, HarmonySettings(top=top))] for top in TopLine}
    moved = {top: sum(abs(b - a) for a, b in pairwise(line)) for top, line in tops.items()}
    repeats = {top: sum(a == b for a, b in pairwise(line)) for top, line in tops.items()}
    assert moved[TopLine.HELD] <= moved[TopLine.FREE]
    assert repeats[TopLine.MOVING] < repeats[TopLine.HELD]


@given(st.lists(st.one_of(st.none(), st.integers(58, 84)), min_size=40, max_size=40), st.sampled_from(IDIOMS))
@settings(max_examples=40, deadline=None)
def test_nothing_covers_the_melody(melody: list[int | None], idiom: Idiom) -> None:
    """Whatever the melody, no voicing goes above the pitch that it allows."""
    harmony = laid(CHANGES)
    planned = plan_voicings(harmony, HarmonySettings(idiom=idiom), melody)
    for span, voicing, ceiling in zip(harmony.spans, planned, melody, strict=False):
        if span.chord is not None and ceiling is not None:
            assert voicing
            assert voicing[-1] <= ceiling


def test_the_raised_ninth_sings_above_the_third() -> None:
    """In E7#9 the G is not right under the G#, where it would grate."""
    for voicing in plan_voicings(laid("| Dm9 | E7#9 | Am | B7#9 |")):
        assert not any(high - low == 1 for low, high in pairwise(voicing) if low % 12 in (7, 2))


def test_named_tensions_are_heard() -> None:
    """What the symbol names is in the voicing: the thirteenth, the ninth, the raised eleventh."""
    harmony = laid("| C13 | Cm9 | C7b9 | Cmaj7#11 | C7b13 |")
    planned = plan_voicings(harmony)
    assert [step in {p % 12 for p in v} for step, v in zip((9, 2, 1, 6, 8), planned, strict=True)] == [
        True
    ] * 5


def test_chords_keep_above_the_thumb() -> None:
    """With the left hand high, chords stay over the octave that its thumb plays."""
    harmony = laid("| G7 | C | Dm7 | G7 |")
    lows = [43, 43, 43, 43]
    assert all(v[0] > 43 + 12 for v in plan_voicings(harmony, lows=lows))


def test_movement_counts_semitones() -> None:
    """Movement is the least sum of semitones, also between chords of different sizes."""
    assert movement((60, 64, 67), (60, 64, 69)) == 2
    assert movement((60, 64, 67), (60, 65, 69)) == 3
    assert movement((60, 64, 67, 70), (60, 64, 67)) == 3
    assert movement((60, 67), (59, 62, 67)) == 1 + 2
    assert movement((60,), (59, 61)) == 2
    assert move_cost((), (60, 64)) == 0


def test_the_whole_is_smoother_than_greed() -> None:
    """Planning everything together never moves more in all than choosing chord by chord."""
    harmony = laid(CHANGES.replace("N.C.", "A"))
    planned = plan_voicings(harmony)
    live: list[tuple[int, ...]] = []
    for span in harmony.spans:
        live.append(next_voicing(live[-1] if live else (), span.chord, key=harmony.key))
    own = [dict(candidates(s.chord, HarmonySettings(), harmony.key)) for s in harmony.spans if s.chord]
    lows = plan_low(harmony)

    def total(path: Sequence[tuple[int, ...]]) -> float:
        moves = sum(move_cost(a, b) for a, b in pairwise(path))
        over_bass = zip(pairwise(path), pairwise(lows), strict=True)
        moves += sum(parallel_cost(a, b, low, next_low) for (a, b), (low, next_low) in over_bass)
        return moves + sum(costs[voicing] for costs, voicing in zip(own, path, strict=True))

    assert total(planned) <= total(live) + 1e-9


def test_parallel_octaves_and_fifths_cost() -> None:
    """Top and bass in fifths one after the other cost; where one of them stays they don't."""
    assert parallel_cost((60, 64, 67), (62, 65, 69), 36, 38) > 0
    assert parallel_cost((60, 64, 67), (59, 62, 67), 36, 43) == 0
    assert parallel_cost((60, 64, 67), (60, 64, 67), 36, 36) == 0
    assert parallel_cost((), (60, 64, 67), 36, 38) == 0


def test_same_chart_same_voicings() -> None:
    """Planning is deterministic."""
    assert plan_voicings(laid(CHANGES)) == plan_voicings(laid(CHANGES))
