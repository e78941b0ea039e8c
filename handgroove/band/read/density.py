"""How much of a band is brought to the piano."""

from __future__ import annotations

from enum import StrEnum


class Density(StrEnum):
    """How much of the band is brought to the piano."""

    SPARE = "spare"
    USUAL = "usual"
    FULL = "full"


class Chords(StrEnum):
    """What the right hand's chords do beside the tune."""

    COMP = "comp"  # in the hats' rhythm wherever the tune leaves room, under it and in its rests
    SUPPORT = "support"  # under the tune's own notes, and alone only where it is long silent
    ANSWER = "answer"  # only in its rests
