"""Hits named in words."""

from __future__ import annotations

import pytest

from handgroove.errors import WrongUseError
from handgroove.groove.kit import Family
from handgroove.groove.know.levels import find_levels
from handgroove.groove.know.selection import find_selected, parse_selection
from handgroove.groove.meant.reading import Reading
from handgroove.patterns import read_pattern

GROOVE = read_pattern("sixteenth-funk").groove(4)
LEVELS = find_levels(GROOVE)
READING = Reading(GROOVE, tuple(hit.tick for hit in GROOVE.hits))


def chosen(text: str) -> list[tuple[str, str]]:
    """Return (piece, place) of each hit that *text* means."""
    indices, _ = find_selected([parse_selection(text)], READING, LEVELS)
    hits = [GROOVE.hits[index] for index in indices]
    return [(hit.piece.value, GROOVE.timeline.format_position(hit.tick)) for hit in hits]


def test_a_family_a_bar_and_a_beat() -> None:
    """Words narrow down to the one kick on the first beat of bar 2."""
    assert chosen("kick bar 2 beat 1") == [("kick", "bar 2, beat 1")]
    assert chosen("Bar 2, beat 1, kicks") == [("kick", "bar 2, beat 1")]


def test_ghosts_are_the_soft_ones() -> None:
    """``snare ghosts`` means snares, all of them softer than those that it leaves."""
    ghosts, _ = find_selected([parse_selection("snare ghosts")], READING, LEVELS)
    others = {i for i, hit in enumerate(GROOVE.hits) if hit.piece.family is Family.SNARE} - set(ghosts)
    assert ghosts
    assert max(GROOVE.hits[i].velocity for i in ghosts) < min(GROOVE.hits[i].velocity for i in others)


def test_bars_from_to() -> None:
    """A range of bars takes the hits in it and no others."""
    assert {place.partition(",")[0] for _, place in chosen("bars 2 to 3")} == {"bar 2", "bar 3"}


def test_what_means_nothing_is_told() -> None:
    """A selection without hits gives a message; a word that is not known gives the nearest."""
    assert find_selected([parse_selection("cowbell")], READING, LEVELS) == (
        [],
        ["no hit is meant by 'cowbell'"],
    )
    with pytest.raises(WrongUseError, match="did you mean 'snare'"):
        parse_selection("snaer bar 2")
    with pytest.raises(WrongUseError, match="expected drums"):
        parse_selection("  ")
