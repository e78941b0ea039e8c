"""Gestures told from fast singles, on made strokes whose kinds are known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.groove.meant.gestures import FEWEST_IN_ROLL, LINK_SEC, RUFF_SEC, GestureKind, find_gestures
from handgroove.timeline import Metre, Timeline
from tests.groove.meant.strokes import (
    GRACES,
    Made,
    accents,
    alternating,
    ghosts,
    graced,
    rebounding,
    rolled,
    singles,
)

SEEDS = st.integers(0, 10_000)
TEMPOS = st.integers(60, 200)


def confusion(made: Made) -> Counter[tuple[str, str]]:
    """Return how often a movement that was made so was found so: (made, found) by main strokes."""
    groove, kinds = made.groove()
    found = {gesture.main: gesture for gesture in find_gestures(groove)}
    graces = {index for gesture in found.values() for index in gesture.graces}
    counts: Counter[tuple[str, str]] = Counter()
    for index, kind in enumerate(kinds):
        if kind is None:
            continue
        is_found = "grace" if index in graces else found[index].kind if index in found else GestureKind.SINGLE
        counts[str(kind), str(is_found)] += 1
    return counts


def share_right(counts: Counter[tuple[str, str]], kind: GestureKind) -> float:
    """Return the share of the movements made as *kind* that were found as such."""
    of_kind = {key: count for key, count in counts.items() if key[0] == kind}
    return of_kind.get((kind, kind), 0) / sum(of_kind.values())


@given(SEEDS, TEMPOS, st.sampled_from(list(GRACES)))
def test_made_flams_drags_and_ruffs_are_found(seed: int, tempo_bpm: int, kind: GestureKind) -> None:
    """Of graces 12 to 45 ms apart and 0.2 to 0.85 as loud, at any tempo, nearly all are told with their number."""
    made = Made(tempo_bpm, Random(seed))
    graced(made, kind)
    counts = confusion(made)
    assert share_right(counts, kind) >= 0.9, counts
    if any(key[0] == GestureKind.SINGLE for key in counts):
        assert share_right(counts, GestureKind.SINGLE) >= 0.95, counts


@given(SEEDS, TEMPOS)
def test_made_rolls_are_found(seed: int, tempo_bpm: int) -> None:
    """Five and more strokes at 25 a second are one roll, mostly; a loud stroke inside may part it."""
    made = Made(tempo_bpm, Random(seed))
    rolled(made)
    assert share_right(confusion(made), GestureKind.ROLL) >= 0.8


@given(SEEDS, TEMPOS)
def test_made_rebounds_are_found(seed: int, tempo_bpm: int) -> None:
    """A stick that falls once more, softer, belongs to its stroke."""
    made = Made(tempo_bpm, Random(seed))
    rebounding(made)
    assert share_right(confusion(made), GestureKind.REBOUND) >= 0.95


@pytest.mark.parametrize("loudness", [accents, alternating, ghosts])
@given(seed=SEEDS, tempo_bpm=TEMPOS)
def test_sixteenths_are_single_strokes(
    loudness: Callable[[Made], Callable[[int], float]], seed: int, tempo_bpm: int
) -> None:
    """Sixteenths are counted up to 200 beats a minute, whatever their accents."""
    made = Made(tempo_bpm, Random(seed))
    singles(made, 0.25, loudness(made))
    assert share_right(confusion(made), GestureKind.SINGLE) >= 0.97


@pytest.mark.parametrize("loudness", [accents, alternating, ghosts])
@given(seed=SEEDS, tempo_bpm=st.integers(60, 120))
def test_thirty_seconds_are_single_strokes(
    loudness: Callable[[Made], Callable[[int], float]], seed: int, tempo_bpm: int
) -> None:
    """Thirty-seconds in runs are counted up to 120 beats a minute (62 ms apart)."""
    made = Made(tempo_bpm, Random(seed))
    singles(made, 0.125, loudness(made))
    assert share_right(confusion(made), GestureKind.SINGLE) >= 0.9


def strokes(*rows: tuple[float, int], piece: Piece = Piece.SNARE, tempo_bpm: float = 120) -> Groove:
    """Return a groove of (milliseconds, velocity)."""
    hits = tuple(Hit(round(ms * tempo_bpm * 16 / 1000), piece, velocity) for ms, velocity in rows)
    return Groove(hits, Timeline.of(Metre(4, 4), tempo_bpm, 4))


def kinds(groove: Groove) -> list[tuple[str, int, tuple[int, ...]]]:
    """Return the gestures as plain values."""
    return [(str(gesture.kind), gesture.main, gesture.graces) for gesture in find_gestures(groove)]


def test_graces_belong_to_the_stroke_that_they_lead_to() -> None:
    """One, two or three soft strokes just before a loud one are a flam, a drag and a ruff."""
    assert kinds(strokes((970, 50), (1000, 100))) == [("flam", 1, (0,))]
    assert kinds(strokes((940, 40), (970, 45), (1000, 100))) == [("drag", 2, (0, 1))]
    assert kinds(strokes((910, 40), (940, 42), (970, 45), (1000, 100))) == [("ruff", 3, (0, 1, 2))]


def test_a_flam_of_two_equal_strokes_is_one() -> None:
    """Both sticks with all force, 40 ms apart, are still one flam."""
    assert kinds(strokes((960, 127), (1000, 127))) == [("flam", 1, (0,))]


def test_five_strokes_at_25_a_second_are_a_roll() -> None:
    """Five close strokes, or four with no louder last, are one roll; a louder one after it stands alone."""
    close = [(1000 + 40 * at, 60) for at in range(5)]
    assert kinds(strokes(*close)) == [("roll", 0, (1, 2, 3, 4))]
    assert kinds(strokes(*close[:4])) == [("roll", 0, (1, 2, 3))]
    assert kinds(strokes(*close, (1200, 110))) == [("roll", 0, (1, 2, 3, 4))]


def test_a_beater_that_falls_back_is_no_second_kick() -> None:
    """A kick 60 ms after another and a third as loud is its rebound; as loud, it's a kick."""
    assert kinds(strokes((1000, 90), (1060, 30), piece=Piece.KICK)) == [("rebound", 0, (1,))]
    assert kinds(strokes((1000, 90), (1060, 85), piece=Piece.KICK)) == []


def test_a_wide_flam_leads_to_the_grid() -> None:
    """A pair 60 ms apart and not far different is a flam where the second is on the grid, and two strokes if not."""
    pulse = [(500.0 * beat, 100) for beat in range(8)]
    early = sorted([*pulse, *((500 * beat - 60, 75) for beat in (3, 5))])
    assert [kind for kind, _, _ in kinds(strokes(*early))] == ["flam", "flam"]
    late = sorted([*pulse, *((500 * beat + 60, 75) for beat in (3, 5))])
    assert kinds(strokes(*late)) == []


@given(
    st.lists(st.tuples(st.integers(4, 160), st.integers(1, 127)), min_size=2, max_size=40),
    st.integers(0, 999),
)
def test_laws_of_any_gestures(rows: list[tuple[int, int]], shift: int) -> None:
    """A hit is in one gesture at most; graces lie near; rolls have four strokes; a shift of all changes nothing."""
    ms, placed = 0, []
    for gap, velocity in rows:
        ms += gap
        placed.append((ms, velocity))
    groove = strokes(*placed)
    gestures = find_gestures(groove)
    members = [index for gesture in gestures for index in (gesture.main, *gesture.graces)]
    assert len(members) == len(set(members))
    for gesture in gestures:
        ticks = [groove.hits[index].tick for index in (*gesture.graces, gesture.main)]
        secs = [(tick - ticks[-1]) / (120 * 16) for tick in ticks[:-1]]
        assert all(sec >= -RUFF_SEC - 0.001 for sec in secs)
        assert gesture.kind is not GestureKind.FLAM or min(secs) >= -LINK_SEC - 0.001
        assert gesture.kind is not GestureKind.ROLL or len(gesture.graces) + 1 >= FEWEST_IN_ROLL
    moved = Groove(
        tuple(Hit(hit.tick + shift, hit.piece, hit.velocity) for hit in groove.hits), groove.timeline
    )
    assert find_gestures(moved) == gestures
