"""Figures beside published melody statistics.

Intervals of 7,238 European folk melodies (the Essen collection; H. Schaffrath, 1995; counted over 346,655 intervals):
steps are commoner than thirds, thirds than fourths and fifths, and those than wider ones; 85% of leaps of a tritone
and more turn back; intervals over an octave are under 0.1%. Rank correlation: M. Kendall (1938, Biometrika 30).
"""

from __future__ import annotations

from itertools import pairwise
from random import Random

import pytest

from handgroove.figures.agreement import kendall_tau
from handgroove.figures.candidate import choose_different
from handgroove.figures.context import Surroundings
from handgroove.figures.figure_reasons import contour_agreement
from handgroove.figures.figure_search import find_paths
from handgroove.figures.fill import fill_candidates, frame_fill
from handgroove.groove.kit import Piece
from handgroove.groove.know.knowledge import know_groove
from handgroove.groove.know.levels import find_levels
from handgroove.harmony.chart import lay_chart, parse_chart
from tests.groove.know.test_knowledge import CRASH, play

DRUMS = (Piece.SNARE, Piece.HIGH_TOM, Piece.MIDDLE_TOM, Piece.FLOOR_TOM)
CHANGES = ("| G7 | C |", "| Dm7 | G7 |", "| E7 | Am7 |", "| Bb7 | Ebmaj7 |", "| F#m7b5 | B7 |", "| C7 | F6 |")


def random_fill(seed: int) -> dict[Piece, str]:
    """Return a bar of sixteenths and eighths over four drums: groups of two to four strokes, mostly downwards."""
    random = Random(seed)
    rows = {drum: ["."] * 16 for drum in DRUMS}
    step = drum = 0
    while step < 16:
        for number in range(random.choice((2, 4, 4, 4))):
            if step < 16 and (number == 0 or random.random() < 0.85):
                rows[DRUMS[drum]][step] = "X" if number == 0 else "x"
            step += 1
        drum = min(3, drum + 1) if random.random() < 0.75 else random.randrange(4)
    return {drum: "".join(row) for drum, row in rows.items()}


def songs() -> list[Surroundings]:
    """Return two dozen fills over six changes."""
    found = []
    for seed in range(24):
        groove = play(random_fill(seed), CRASH, tempo_bpm=104)
        harmony = lay_chart(parse_chart(CHANGES[seed % len(CHANGES)]), groove.timeline)
        found.append(Surroundings(know_groove(groove).reading, find_levels(groove), harmony))
    return found


SONGS = songs()


def hits_of(song: Surroundings) -> list[int]:
    """Return the indices of the fill's hits."""
    return [index for index, hit in enumerate(song.groove.hits) if hit.tick < 3840]


def test_intervals_rank_as_in_song() -> None:
    """Steps, thirds, fourths and fifths, and wider ones come in that order; nothing passes an octave."""
    sizes = [
        abs(b - a)
        for song in SONGS
        for found in fill_candidates(song, hits_of(song), 3840)
        for a, b in pairwise(found.pitches)
    ]
    share = {
        name: sum(low <= size <= high for size in sizes) / len(sizes)
        for name, low, high in (("steps", 1, 2), ("thirds", 3, 4), ("fourths", 5, 7), ("wide", 8, 12))
    }
    assert share["steps"] > share["thirds"] > share["fourths"] >= share["wide"]
    assert share["steps"] > 0.494  # a fill's runs step more than song does, never less
    assert max(sizes) <= 12


def test_leaps_turn_back_as_in_song() -> None:
    """Of leaps of a tritone and more at least 85% are followed by a move the other way."""
    turned = leaps = 0
    for song in SONGS:
        for found in fill_candidates(song, hits_of(song), 3840):
            line = (*found.pitches, *(() if found.landing is None else (found.landing,)))
            for a, b, c in zip(line, line[1:], line[2:], strict=False):
                if abs(b - a) >= 6:
                    leaps += 1
                    turned += (c - b) * (b - a) < 0
    assert turned >= 0.85 * leaps


def test_every_landing_is_a_chord_tone() -> None:
    """All candidates of all fills land on a tone of the landing chord: a hundred in a hundred."""
    for song in SONGS:
        tones = song.chord_at(3840).tone_pcs
        found = fill_candidates(song, hits_of(song), 3840)
        assert found
        assert all(one.landing is not None and one.landing % 12 in tones for one in found)


def test_figures_agree_with_the_drums_heights() -> None:
    """Kendall's tau between the drums' heights and the best figure's notes is 0.8 and more on the average."""
    taus = []
    for song in SONGS:
        frame = frame_fill(song, hits_of(song), 3840)
        assert frame is not None
        if len(set(frame.levels)) > 1:
            taus.append(contour_agreement(frame, choose_different(find_paths(frame), 1)[0]))
    assert sum(taus) / len(taus) >= 0.8


@pytest.mark.parametrize(
    ("first", "second", "tau"),
    [
        ((1, 2, 3, 4), (1, 2, 3, 4), 1.0),
        ((1, 2, 3, 4), (4, 3, 2, 1), -1.0),
        ((1, 2, 3, 4, 5), (3, 4, 1, 2, 5), 0.2),
        ((12, 2, 1, 12, 2), (1, 4, 7, 1, 0), -0.4714045),
    ],
)
def test_kendall_tau(first: tuple[int, ...], second: tuple[int, ...], tau: float) -> None:
    """Tau-b of small rankings, counted by hand from the definition; ties as Kendall (1945) has them."""
    assert kendall_tau(first, second) == pytest.approx(tau)
