"""How much of a band is brought to the piano."""

from __future__ import annotations

from enum import StrEnum


class Density(StrEnum):
    """How much of the band is brought to the piano."""

    SPARE = "spare"
    USUAL = "usual"
    FULL = "full"
