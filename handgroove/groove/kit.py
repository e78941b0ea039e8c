"""What was struck: pieces, their families and heights, and kits that map MIDI note numbers to them.

Source: General MIDI System Level 1 (MIDI Manufacturers Association, 1991), Percussion Key Map, notes 35 to 81.
Notes 22 and 26 (closed and open hat, struck on the edge) are outside that map and usual on electronic kits.
Height runs from 0 (lowest) to 100: the toms' order is the map's own, the rest is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property


class Family(StrEnum):
    """What kind of thing a piece is, as a drummer thinks of the kit."""

    KICK = "kick"
    SNARE = "snare"
    HAT = "hat"
    RIDE = "ride"
    CRASH = "crash"
    TOM = "tom"
    HAND = "hand percussion"


class Piece(StrEnum):
    """One piece of a kit; the value is its name in patterns and reports."""

    KICK = "kick"
    SNARE = "snare"
    SIDE_STICK = "side stick"
    CLAP = "clap"
    CLOSED_HAT = "closed hat"
    OPEN_HAT = "open hat"
    PEDAL_HAT = "pedal hat"
    RIDE = "ride"
    RIDE_BELL = "ride bell"
    CRASH = "crash"
    SPLASH = "splash"
    CHINA = "china"
    LOW_FLOOR_TOM = "low floor tom"
    FLOOR_TOM = "floor tom"
    LOW_TOM = "low tom"
    MIDDLE_TOM = "middle tom"
    HIGH_TOM = "high tom"
    HIGHEST_TOM = "highest tom"
    TAMBOURINE = "tambourine"
    COWBELL = "cowbell"
    VIBRASLAP = "vibraslap"
    HIGH_BONGO = "high bongo"
    LOW_BONGO = "low bongo"
    MUTE_CONGA = "mute conga"
    OPEN_CONGA = "open conga"
    LOW_CONGA = "low conga"
    HIGH_TIMBALE = "high timbale"
    LOW_TIMBALE = "low timbale"
    HIGH_AGOGO = "high agogo"
    LOW_AGOGO = "low agogo"
    CABASA = "cabasa"
    MARACAS = "maracas"
    SHORT_WHISTLE = "short whistle"
    LONG_WHISTLE = "long whistle"
    SHORT_GUIRO = "short guiro"
    LONG_GUIRO = "long guiro"
    CLAVES = "claves"
    HIGH_WOOD_BLOCK = "high wood block"
    LOW_WOOD_BLOCK = "low wood block"
    MUTE_CUICA = "mute cuica"
    OPEN_CUICA = "open cuica"
    MUTE_TRIANGLE = "mute triangle"
    OPEN_TRIANGLE = "open triangle"

    @cached_property
    def family(self) -> Family:
        """Return the family that this piece belongs to."""
        return _FAMILY[self]

    @cached_property
    def height(self) -> int:
        """Return how high the piece sounds, 0 (lowest) to 100."""
        return _HEIGHT[self]


# note number -> (piece, height). Two rows may name one piece: a kit has one kick for both bass drums.
_GENERAL_MIDI: dict[int, tuple[Piece, int]] = {
    35: (Piece.KICK, 0),
    36: (Piece.KICK, 0),
    37: (Piece.SIDE_STICK, 58),
    38: (Piece.SNARE, 50),
    39: (Piece.CLAP, 55),
    40: (Piece.SNARE, 50),
    41: (Piece.LOW_FLOOR_TOM, 10),
    42: (Piece.CLOSED_HAT, 85),
    43: (Piece.FLOOR_TOM, 15),
    44: (Piece.PEDAL_HAT, 80),
    45: (Piece.LOW_TOM, 20),
    46: (Piece.OPEN_HAT, 84),
    47: (Piece.MIDDLE_TOM, 30),
    48: (Piece.HIGH_TOM, 40),
    49: (Piece.CRASH, 92),
    50: (Piece.HIGHEST_TOM, 45),
    51: (Piece.RIDE, 88),
    52: (Piece.CHINA, 90),
    53: (Piece.RIDE_BELL, 95),
    54: (Piece.TAMBOURINE, 82),
    55: (Piece.SPLASH, 96),
    56: (Piece.COWBELL, 65),
    57: (Piece.CRASH, 92),
    58: (Piece.VIBRASLAP, 60),
    59: (Piece.RIDE, 88),
    60: (Piece.HIGH_BONGO, 62),
    61: (Piece.LOW_BONGO, 48),
    62: (Piece.MUTE_CONGA, 44),
    63: (Piece.OPEN_CONGA, 38),
    64: (Piece.LOW_CONGA, 25),
    65: (Piece.HIGH_TIMBALE, 57),
    66: (Piece.LOW_TIMBALE, 35),
    67: (Piece.HIGH_AGOGO, 78),
    68: (Piece.LOW_AGOGO, 70),
    69: (Piece.CABASA, 79),
    70: (Piece.MARACAS, 86),
    71: (Piece.SHORT_WHISTLE, 97),
    72: (Piece.LONG_WHISTLE, 97),
    73: (Piece.SHORT_GUIRO, 66),
    74: (Piece.LONG_GUIRO, 64),
    75: (Piece.CLAVES, 76),
    76: (Piece.HIGH_WOOD_BLOCK, 74),
    77: (Piece.LOW_WOOD_BLOCK, 63),
    78: (Piece.MUTE_CUICA, 61),
    79: (Piece.OPEN_CUICA, 59),
    80: (Piece.MUTE_TRIANGLE, 98),
    81: (Piece.OPEN_TRIANGLE, 99),
}
_EDGE_STROKES = {22: Piece.CLOSED_HAT, 26: Piece.OPEN_HAT}

_HEIGHT: dict[Piece, int] = dict(_GENERAL_MIDI.values())
_PIECES = {
    Family.KICK: (Piece.KICK,),
    Family.SNARE: (Piece.SNARE, Piece.SIDE_STICK, Piece.CLAP),
    Family.HAT: (Piece.CLOSED_HAT, Piece.OPEN_HAT, Piece.PEDAL_HAT),
    Family.RIDE: (Piece.RIDE, Piece.RIDE_BELL),
    Family.CRASH: (Piece.CRASH, Piece.SPLASH, Piece.CHINA),
    Family.TOM: tuple(piece for piece in Piece if piece.value.endswith("tom")),
}
_FAMILY = dict.fromkeys(Piece, Family.HAND) | {p: family for family, own in _PIECES.items() for p in own}

# One order for hits that fall together, so that the same hits always give the same notes: what carries the
# left hand first, then what the right hand fits around it.
FAMILY_ORDER = {family: index for index, family in enumerate(Family)}


@dataclass(frozen=True, slots=True)
class Kit:
    """A table from MIDI note numbers to pieces. *name* is how reports call it."""

    name: str
    pieces: Mapping[int, Piece] = field(repr=False)

    def with_notes(self, name: str, pieces: Mapping[int, Piece]) -> Kit:
        """Return this kit under *name* with *pieces* added or changed (an electronic kit's own numbers)."""
        return Kit(name, {**self.pieces, **pieces})


GENERAL_MIDI = Kit("General MIDI", {n: piece for n, (piece, _) in _GENERAL_MIDI.items()} | _EDGE_STROKES)
