"""The numbers beside a reading say what they claim."""

from __future__ import annotations

from dataclasses import replace

import pytest

from handgroove.audition.compare import compare, rank_correlation
from handgroove.groove.kit import Piece
from handgroove.hands.player import Player
from handgroove.part import Part
from tests.output.sound.parts import hit, make_part, note

SPAN = (0, 3840)


def part_of(velocities: list[int], drums: list[int]) -> Part:
    """Make four quarters of hats struck with *drums* force, and a note with each that is struck with *velocities*."""
    notes = [replace(note(beat, 0.5, 60 + beat, v), hits=(beat,)) for beat, v in enumerate(velocities) if v]
    hits = tuple(hit(beat, Piece.CLOSED_HAT, v) for beat, v in enumerate(drums))
    return make_part(*notes, bars=1, hits=hits)


def test_kept_counts_hits_that_sound() -> None:
    """Three of four hats sound: 3 of 4, a share of 0.75."""
    found = compare(part_of([90, 0, 90, 90], [100, 80, 100, 80]), Player(), SPAN)
    assert found.kept == {"hat": (3, 4)}
    assert found.kept_share == 0.75


@pytest.mark.parametrize(
    ("velocities", "distance"),
    [
        ([120, 60, 100, 50], 0.0),
        ([60, 100, 120, 50], 0.6),
        ([60, 120, 50, 100], 1.0),
        ([80, 80, 80, 80], 1.0),
    ],
)
def test_accent_distance(velocities: list[int], distance: float) -> None:
    """Loudness in the drummer's order is 0 away, turned over or all alike 1 away; in between it is Spearman's."""
    found = compare(part_of(velocities, [110, 60, 100, 50]), Player(), SPAN)
    assert found.accent_distance == pytest.approx(distance)


def test_only_the_span_counts() -> None:
    """What lies outside the bars that are heard is not counted."""
    part = make_part(note(0, 1, 60), note(4, 1, 62), hits=(hit(0, Piece.KICK), hit(4, Piece.KICK)))
    found = compare(part, Player(), SPAN)
    assert found.notes == 1
    assert found.kept == {"kick": (0, 1)}


def test_most_strokes_a_second() -> None:
    """Sixteenths at 120 are eight strokes a second of one hand, and chords count once."""
    notes = [note(beat / 4, 0.2, pitch) for beat in range(16) for pitch in (60, 64)]
    assert compare(make_part(*notes), Player(), SPAN).most_per_sec == 8


def test_more_to_do_is_harder() -> None:
    """The same bar at twice the notes is harder, and the bar that holds them is named."""
    few = make_part(*(note(beat, 0.5, 60) for beat in range(4)), bars=2)
    many = make_part(*(note(4 + beat / 2, 0.4, 60 + beat) for beat in range(8)), *few.notes, bars=2)
    easy, hard = (compare(part, Player(), (0, 2 * 3840)) for part in (few, many))
    assert easy.difficulty < hard.difficulty
    assert (easy.hardest_bar, hard.hardest_bar) == (1, 2)


def test_what_no_hand_can_play_is_counted() -> None:
    """Two octaves in one hand are counted as not playable."""
    part = make_part(note(0, 1, 60), note(0, 1, 84))
    assert compare(part, Player(), SPAN).unplayable >= 1


def test_rank_correlation_by_hand() -> None:
    """Worked by hand: ranks 1 2 3 4 5 against 2 1 4 3 5 give 1 - 6 * 4 / (5 * 24) = 0.8; ties are averaged."""
    assert rank_correlation([1, 2, 3, 4, 5], [20, 10, 40, 30, 50]) == pytest.approx(0.8)
    assert rank_correlation([1, 1, 2], [5, 5, 9]) == pytest.approx(1)
    assert rank_correlation([1, 2, 3], [4, 4, 4]) == 0
    assert rank_correlation([], []) == 0
