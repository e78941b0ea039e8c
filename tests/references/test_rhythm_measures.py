"""Published numbers of rhythm measures.

G. Toussaint (2002, "A mathematical analysis of African, Brazilian and Cuban clave rhythms", BRIDGES); F. Gómez, A.
Melvin, D. Rappaport and G. Toussaint (2005, "Mathematical measures of syncopation", BRIDGES); C. Longuet-Higgins and
C. Lee (1984), by the numbers of C. Song, M. Pearce and C. Harte (2015, SynPy).
"""

from __future__ import annotations

import pytest

from handgroove.groove.know.rhythm_measures import find_lhl

CLAVES = {
    "shiko": ((0, 4, 6, 10, 12), 2),
    "son": ((0, 3, 6, 10, 12), 4),
    "soukous": ((0, 3, 6, 10, 11), 6),
    "rumba": ((0, 3, 7, 10, 12), 6),
    "bossa-nova": ((0, 3, 6, 10, 13), 6),
    "gahu": ((0, 3, 6, 10, 14), 5),
}


@pytest.mark.parametrize("name", CLAVES)
def test_clave_patterns(name: str) -> None:
    """The six clave and bell patterns have the published syncopation."""
    onsets, syncopation = CLAVES[name]
    assert find_lhl(onsets, 16) == syncopation


def test_lhl_example() -> None:
    """[1 0 0 1 0 1 1 0] in 2/4 has a syncopation of 2 (the worked example of SynPy)."""
    assert find_lhl([0, 3, 5, 6], 8) == 2
