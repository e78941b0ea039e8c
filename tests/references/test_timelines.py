"""Rhythms of the library that have been published as timelines, held against the publications.

Sources: G. Toussaint (2002), "A mathematical analysis of African, Brazilian and Cuban clave rhythms", BRIDGES:
Mathematical Connections in Art, Music, and Science, for the son and bossa-nova timelines (sixteen pulses);
G. Toussaint (2013), *The Geometry of Musical Rhythm*, for the bembé bell (twelve pulses);
G. Toussaint (2005), "The Euclidean algorithm generates traditional musical rhythms", BRIDGES: Mathematical Connections
in Art, Music, and Science, for the cowbell of samba: E(9,16) from its fourth onset (sixteen pulses).
"""

from __future__ import annotations

import pytest

from handgroove.groove.kit import Piece
from handgroove.groove.read.steps import Grid
from handgroove.patterns import read_pattern


@pytest.mark.parametrize(
    ("name", "piece", "loud_from", "timeline"),
    [
        ("bossa-nova", Piece.SIDE_STICK, 1, "x..x..x...x..x.."),
        ("second-line", Piece.SNARE, 100, "x..x..x...x.x..."),  # its accents are the son timeline
        ("samba", Piece.SNARE, 100, "x.x.xx.x.x.x.xx."),  # its accents are the cowbell's
        ("bell-12-8", Piece.RIDE_BELL, 1, "x.x.xx.x.x.x"),
    ],
)
def test_the_timeline_is_the_published_one(name: str, piece: Piece, loud_from: int, timeline: str) -> None:
    """The strokes fall on exactly the published pulses, once through."""
    pattern = read_pattern(name)
    grid = Grid(pattern.metre, pattern.steps_per_beat, pattern.feel)
    length = len(timeline)
    struck = {grid.nearest_step(h.tick) for h in pattern.hits if h.piece is piece and h.velocity >= loud_from}
    written = "".join("x" if step in struck else "." for step in range(pattern.bars * grid.steps_per_bar))
    assert written == timeline * (len(written) // length)
