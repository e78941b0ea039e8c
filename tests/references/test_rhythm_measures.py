"""Published numbers of rhythm measures.

G. Toussaint (2002, "A mathematical analysis of African, Brazilian and Cuban clave rhythms", BRIDGES; 2013, *The
Geometry of Musical Rhythm*); F. Gómez, A. Melvin, D. Rappaport and G. Toussaint (2005, "Mathematical measures of
syncopation", BRIDGES); C. Longuet-Higgins and C. Lee (1984), by the numbers of C. Song, M. Pearce and C. Harte (2015,
SynPy); G. Toussaint (2004, ISMIR); D. Gómez-Marín, S. Jordà and P. Herrera (2020, JNMR 49(5)), their library's tests.
"""

from __future__ import annotations

import pytest

from handgroove.groove.know.rhythm_measures import (
    find_balance,
    find_evenness,
    find_keith,
    find_lhl,
    find_metrical_complexity,
    find_npvi,
    find_off_beatness,
    find_swap_distance,
    find_syncopation,
    find_wnbd,
    has_rhythmic_oddity,
)

# name: onsets, off-beatness, Keith, WNBD, nPVI, rhythmic oddity, metrical complexity, LHL
CLAVES = {
    "shiko": ((0, 4, 6, 10, 12), 0, 1, 6 / 5, 66.7, False, 2, 2),
    "son": ((0, 3, 6, 10, 12), 1, 2, 14 / 5, 40.5, True, 4, 4),
    "soukous": ((0, 3, 6, 10, 11), 2, 3, 18 / 5, 70.5, False, 6, 6),
    "rumba": ((0, 3, 7, 10, 12), 2, 2, 18 / 5, 41.0, True, 5, 6),
    "bossa-nova": ((0, 3, 6, 10, 13), 2, 3, 4.0, 14.3, True, 6, 6),
    "gahu": ((0, 3, 6, 10, 14), 1, 3, 18 / 5, 23.8, False, 5, 5),
}
# pattern of twelve: off-beatness, WNBD (four beats)
BELLS = {"x.x.xx.x.x.x": (3, 3.0)}
SWAPS = {
    "shiko": (0, 1, 2, 2, 2, 3),
    "son": (1, 0, 1, 1, 1, 2),
    "soukous": (2, 1, 0, 2, 2, 3),
    "rumba": (2, 1, 2, 0, 2, 3),
    "bossa-nova": (2, 1, 2, 2, 0, 1),
    "gahu": (3, 2, 3, 3, 1, 0),
}


@pytest.mark.parametrize("name", CLAVES)
def test_clave_patterns(name: str) -> None:
    """The six clave and bell patterns give the published numbers in all seven measures."""
    onsets, off_beat, keith, wnbd, npvi, oddity, complexity, lhl = CLAVES[name]
    assert find_off_beatness(onsets, 16) == off_beat
    assert find_keith(onsets, 16) == keith
    assert find_wnbd(onsets, 16) == pytest.approx(wnbd)
    assert find_npvi(onsets, 16) == pytest.approx(npvi, abs=0.05)
    assert has_rhythmic_oddity(onsets, 16) is oddity
    assert find_metrical_complexity(onsets) == complexity
    assert find_lhl(onsets, 16) == lhl


@pytest.mark.parametrize("pattern", BELLS)
def test_bembe_bell(pattern: str) -> None:
    """The bembé bell of twelve has off-beatness 3 and a weighted note-to-beat distance of 3."""
    onsets = [index for index, char in enumerate(pattern) if char == "x"]
    off_beat, wnbd = BELLS[pattern]
    assert find_off_beatness(onsets, 12) == off_beat
    assert find_wnbd(onsets, 12) == pytest.approx(wnbd)


def test_lhl_example() -> None:
    """[1 0 0 1 0 1 1 0] in 2/4 has a syncopation of 2 (the worked example of SynPy)."""
    assert find_lhl([0, 3, 5, 6], 8) == 2


@pytest.mark.parametrize("name", SWAPS)
def test_swap_distances(name: str) -> None:
    """The matrix of swap distances is Toussaint's, with the son clave at its centre."""
    row = tuple(find_swap_distance(CLAVES[name][0], CLAVES[other][0]) for other in SWAPS)
    assert row == SWAPS[name]
    sums = {other: sum(SWAPS[other]) for other in SWAPS}
    assert min(sums, key=lambda other: sums[other]) == "son"


@pytest.mark.parametrize(
    ("pattern", "syncopation", "evenness", "balance"),
    [("x..x..x..x..x...", -4, 0.98161, 0.92977), ("x..xxxx.x.x.xxx.", -10, 0.97117, 0.96098)],
)
def test_gomez_marin_worked_values(pattern: str, syncopation: int, evenness: float, balance: float) -> None:
    """Two patterns of sixteen give the library's own syncopation, evenness and balance."""
    onsets = [index for index, char in enumerate(pattern) if char == "x"]
    assert find_syncopation(onsets) == syncopation
    assert find_evenness(onsets, 16) == pytest.approx(evenness, abs=1e-5)
    assert find_balance(onsets, 16) == pytest.approx(balance, abs=1e-5)


BANDS = {36: "low", 35: "low", 64: "low", 38: "mid", 37: "mid", 40: "mid", 42: "high", 46: "high", 44: "high"}
POLYPHONIC: tuple[set[int], ...] = (
    *({36, 38, 42}, set(), {42}, {38, 42}, {46}, set(), {36, 38, 42}, set()),
    *({42}, {38}, {36, 42}, set(), {38, 46}, set(), {38, 42, 64}, {38}),
)


@pytest.mark.parametrize(("band", "expected"), [("low", -7), ("mid", -4), ("high", -14), ("any", -10)])
def test_gomez_marin_polyphonic_example(band: str, expected: int) -> None:
    """The worked drum pattern gives the library's syncopation in its low, mid and high bands, and in all."""
    onsets = [
        step
        for step, notes in enumerate(POLYPHONIC)
        if any(band in ("any", BANDS[note]) for note in sorted(notes))
    ]
    assert find_syncopation(onsets) == expected
