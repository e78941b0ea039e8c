"""What a chord is: spelled names, chords and keys.

Intervals are semitones above the root; pitch classes run from C = 0. Chord tones keep their stacking order.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

LETTERS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


@dataclass(frozen=True, slots=True, order=True)
class Name:
    """A spelled pitch class: a *letter* A to G and how many semitones it is raised (*alter*, -2 to 2)."""

    letter: str
    alter: int = 0

    @property
    def pc(self) -> int:
        """Return the pitch class, 0 to 11."""
        return (LETTERS[self.letter] + self.alter) % 12

    def __str__(self) -> str:
        return self.letter + ("#" * self.alter if self.alter > 0 else "b" * -self.alter)


@dataclass(frozen=True)  # without slots, so that what follows from it is found once
class Chord:
    """A chord: spelled *root* and *bass*, and what sounds above.

    *tones* are the chord tones above the root in stacking order (0, 4, 7, 11 for a major seventh); *tensions* are
    the added or altered notes above them, mod 12; *scale* is the scale that fits, mod 12, from the root up.
    *symbol* is our own consistent spelling of the whole.
    """

    symbol: str
    root: Name
    bass: Name
    tones: tuple[int, ...]
    tensions: tuple[int, ...] = ()
    scale: tuple[int, ...] = ()

    @cached_property
    def pcs(self) -> frozenset[int]:
        """Return all pitch classes of the chord, bass included."""
        above = {(self.root.pc + step) % 12 for step in (*self.tones, *self.tensions)}
        return frozenset(above | {self.bass.pc})

    @cached_property
    def tone_pcs(self) -> tuple[int, ...]:
        """Return the pitch classes of the chord tones, in stacking order."""
        return tuple((self.root.pc + step) % 12 for step in self.tones)

    @cached_property
    def scale_pcs(self) -> frozenset[int]:
        """Return the pitch classes of the scale that fits."""
        return frozenset((self.root.pc + step) % 12 for step in self.scale)

    @cached_property
    def fifth(self) -> int:
        """Return the chord's fifth in semitones above the root: 7, or what the symbol alters it to."""
        return next((tone for tone in self.tones if tone in (6, 7, 8)), 7)


@dataclass(frozen=True, slots=True)
class Key:
    """A key: its *tonic* and whether it is *minor*."""

    tonic: Name
    minor: bool = False

    def __str__(self) -> str:
        return f"{self.tonic} {'minor' if self.minor else 'major'}"
