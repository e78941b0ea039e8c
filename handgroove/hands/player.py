"""The player: two hands described, and what matters most to them."""

from __future__ import annotations

from dataclasses import dataclass

from handgroove.strike import Hand, Role

DEFAULT_ORDER = (Role.MELODY, Role.KICK, Role.SNARE, Role.BASS, Role.COMPING, Role.COLOUR)


@dataclass(frozen=True, slots=True)
class HandSize:
    """One hand's reach, thumb to little finger, in semitones: *most* at a stretch, *comfortable* all night."""

    most: int = 14
    comfortable: int = 12


@dataclass(frozen=True, slots=True)
class Player:
    """Two hands and the player's order of importance, most important role first."""

    name: str = "a pianist who reaches a ninth"
    left: HandSize = HandSize()
    right: HandSize = HandSize()
    order: tuple[Role, ...] = DEFAULT_ORDER

    def size(self, hand: Hand) -> HandSize:
        """Return the size of one *hand*."""
        return self.left if hand is Hand.LEFT else self.right


# "I reach a ..." -> semitones (white keys, major intervals). Comfort is two semitones less, as in Parncutt et al.
# (1997), Table 1, for every finger pair.
REACHES = {"octave": 12, "ninth": 14, "tenth": 16, "eleventh": 17}


def read_player(path: str = "") -> Player:
    """Return the player that *path* names: nothing for the default, or a reach ("octave", "tenth")."""
    if not path:
        return Player()
    most = REACHES[path]
    size = HandSize(most, most - 2)
    return Player(f"a pianist who reaches {'an' if path[0] in 'eo' else 'a'} {path}", size, size)
