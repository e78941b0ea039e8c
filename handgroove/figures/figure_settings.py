"""What a player may ask of figures."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from handgroove.strike import Hand


class Contour(StrEnum):
    """How closely a figure follows the drums' heights."""

    LITERAL = "literal"
    FREE = "free"


class Doubling(StrEnum):
    """How many hands play the line."""

    UNISON = "unison"
    OCTAVES = "octaves"


class Sharing(StrEnum):
    """Which hand plays the line: one of them, or both by turns as a drummer sticks it."""

    RIGHT = "right"
    LEFT = "left"
    BOTH = "both"

    @property
    def hand(self) -> Hand:
        """Return the hand that plays, or leads."""
        return Hand.LEFT if self is Sharing.LEFT else Hand.RIGHT


@dataclass(frozen=True, slots=True)
class FigureSettings:
    """How figures are to be.

    *busy* is the share of a fill's strokes that become notes (0 = accents alone, 1 = all that a hand can play);
    *tonal* how strictly they keep to the scale (1 = no other notes, 0 = chromatic ones as welcome). *lowest* and
    *highest* bound the line (MIDI note numbers); *fastest_per_sec* is how many single notes a second a hand can play,
    *candidates* how many figures are offered.
    """

    busy: float = 1.0
    tonal: float = 1.0
    lowest: int = 60
    highest: int = 84
    sharing: Sharing = Sharing.RIGHT
    doubling: Doubling = Doubling.UNISON
    contour: Contour = Contour.LITERAL
    # Sixteenths at 195; experts play 7 to 16 notes a second (see hands/player.py)
    fastest_per_sec: float = 13.0
    candidates: int = 5


DEFAULT_SETTINGS = FigureSettings()
