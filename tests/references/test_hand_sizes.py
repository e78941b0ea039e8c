"""Hand sizes against published spans.

Sources: R. Boyle, R. Boyle, E. Booker (2015), "Pianist hand spans: gender and ethnic differences and
implications for piano
playing", Proc. 12th Australasian Piano Pedagogy Conference (women's mean 201 mm; zones' cut points 193, 216
and 239 mm as
quoted by secondary sources). The standard octave is 165 mm, seven white keys.
"""

from __future__ import annotations

import pytest

from handgroove.hands.hand_model import BLACK, MIRROR
from handgroove.hands.sizes import REACHES, size_of_mm, size_of_reach


@pytest.mark.parametrize(
    ("span_mm", "reach"),
    [
        (191, "octave"),  # zone A, below 193: barely an octave, not a ninth (ours begins at 192)
        (193, "ninth"),  # zone B: a ninth with tension, no tenth
        (201, "ninth"),  # the women's mean
        (215, "ninth"),
        (216, "tenth"),  # zone C: a tenth with tension
        (226, "tenth"),  # about the men's mean
    ],
)
def test_zones(span_mm: float, reach: str) -> None:
    """The zones' cut points in millimetres come out as the reaches that the zones name."""
    assert size_of_mm(span_mm).most == REACHES[reach]


def test_comfortable_tenth() -> None:
    """From 239 mm on a tenth is comfortable."""
    assert size_of_mm(238).comfortable < REACHES["tenth"]
    assert size_of_mm(239).comfortable == REACHES["tenth"]


@pytest.mark.parametrize("reach", REACHES)
def test_words(reach: str) -> None:
    """Comfort is two semitones below what's possible, as in Parncutt et al. (1997), Table 1, for every
    pair."""
    at_a_stretch, with_comfort = size_of_reach(reach), size_of_reach(reach, with_comfort=True)
    assert at_a_stretch.most == with_comfort.comfortable == REACHES[reach]
    assert at_a_stretch.most - at_a_stretch.comfortable == 2 == with_comfort.most - with_comfort.comfortable


def test_the_keyboard_is_its_own_mirror_image() -> None:
    """Mirrored about D, every black key is a black key."""
    assert all(BLACK[pitch] == BLACK[MIRROR - pitch] for pitch in range(125))
