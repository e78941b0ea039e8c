"""Ghosts, normal strokes and accents told from velocities."""

from __future__ import annotations

import pytest

from handgroove.groove.hits import Groove, Hit, Stroke
from handgroove.groove.kit import Piece
from handgroove.groove.know.levels import DEFAULT_LEVELS, find_levels
from handgroove.timeline import Timeline

GHOST, NORMAL, ACCENT = 38, 80, 112  # the velocities that text grids stand for
EXPECTED = {GHOST: Stroke.GHOST, NORMAL: Stroke.NORMAL, ACCENT: Stroke.ACCENT}


def groove_of(velocities: list[int], piece: Piece = Piece.SNARE) -> Groove:
    """Return a groove of one piece struck with *velocities*, an eighth apart."""
    return Groove(tuple(Hit(480 * i, piece, v) for i, v in enumerate(velocities)), Timeline())


@pytest.mark.parametrize(
    "velocities",
    [
        [GHOST, NORMAL, ACCENT, NORMAL] * 4,
        [GHOST] * 20 + [NORMAL],
        [NORMAL] * 30 + [ACCENT],
        [GHOST] * 12 + [ACCENT] * 2,
        [GHOST, GHOST, NORMAL, ACCENT, ACCENT, ACCENT, ACCENT, ACCENT],
        [NORMAL] * 16,
        [ACCENT] * 16,
        [GHOST] * 16,
        [ACCENT],
    ],
)
def test_grid_velocities_are_told_exactly(velocities: list[int]) -> None:
    """Ghost, normal and accented strokes of a written grid come back as written, whatever their mixture."""
    groove = groove_of(velocities)
    levels = find_levels(groove)
    assert [levels.stroke(hit) for hit in groove.hits] == [EXPECTED[v] for v in velocities]


def test_hats_all_alike_are_flat() -> None:
    """Hats within a few velocities of one another carry no accents and say so; a snare with ghosts does not."""
    assert find_levels(groove_of([100, 103, 98, 101] * 8, Piece.CLOSED_HAT)).is_flat(Piece.CLOSED_HAT)
    assert not find_levels(groove_of([34, 110, 30, 115] * 8)).is_flat(Piece.SNARE)
    assert not find_levels(groove_of([105, 70] * 8, Piece.CLOSED_HAT)).is_flat(Piece.CLOSED_HAT)


def test_performed_snare_has_ghosts_and_backbeats() -> None:
    """A performed snare's soft chatter is ghosts and its backbeats are not, though no two agree."""
    soft, loud = [22, 31, 27, 40, 35, 29], [96, 104, 99, 111]
    levels = find_levels(groove_of(soft * 3 + loud * 2))
    assert {levels.of(Piece.SNARE).stroke(v) for v in soft} == {Stroke.GHOST}
    assert Stroke.GHOST not in {levels.of(Piece.SNARE).stroke(v) for v in loud}


def test_sparse_piece_shares_its_family() -> None:
    """A piece hit twice is judged beside its family: two open hats among soft closed ones."""
    closed = tuple(Hit(480 * i, Piece.CLOSED_HAT, v) for i, v in enumerate([40, 62] * 8))
    openings = (Hit(9000, Piece.OPEN_HAT, 62), Hit(9900, Piece.OPEN_HAT, 60))
    levels = find_levels(Groove((*closed, *openings), Timeline()))
    assert levels.stroke(openings[0]) is Stroke.ACCENT
    assert not levels.is_flat(Piece.OPEN_HAT)


def test_default_levels_are_absolute() -> None:
    """With nothing known, absolute thresholds hold and every piece counts as flat."""
    assert [DEFAULT_LEVELS.of(Piece.KICK).stroke(v) for v in EXPECTED] == list(EXPECTED.values())
    assert DEFAULT_LEVELS.is_flat(Piece.KICK)
