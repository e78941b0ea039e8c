"""Spelled note names and keys: reading them, and finding the name that stands an interval above another.

Degrees count as musicians count (1 = root, 3 = third, 9 = second above the octave); alterations run from -2 to 2.
"""

from __future__ import annotations

import re

from handgroove.errors import HandgrooveError, Problem
from handgroove.harmony.symbols.chord_model import LETTERS, Key, Name

LETTER_ORDER = "CDEFGAB"
_ACCIDENTALS = str.maketrans({"♭": "b", "♯": "#"})
_NAME = re.compile(r"([A-G])(##|#|bb|b|x)?(?![#b])")
_KEY = re.compile(r"\s*([A-G](?:##|#|bb|b)?)\s*(major|maj|minor|min|m)?\s*", re.IGNORECASE)
_ALTER = {"": 0, "#": 1, "##": 2, "x": 2, "b": -1, "bb": -2}
# Where a name must be chosen from a bare pitch class: the commonest spelling of each (common practice).
_COMMON = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def plain_accidentals(text: str) -> str:
    """Return *text* with printed flats and sharps as b and #, one character for one."""
    return text.translate(_ACCIDENTALS)


def match_name(text: str, start: int = 0) -> tuple[Name, int] | None:
    """Return the note name that begins at *start* and where it ends, or None."""
    match = _NAME.match(text, start)
    if match is None:
        return None
    return Name(match[1], _ALTER[match[2] or ""]), match.end()


def parse_key(text: str) -> Key:
    """Return the key that *text* names: ``A minor``, ``Am``, ``Bb``, ``E♭ major``."""
    match = _KEY.fullmatch(plain_accidentals(text))
    if match is None:
        expected = "expected a key such as 'C', 'Bb major', 'A minor' or 'F#m'"
        raise HandgrooveError(Problem("", f"key: {expected}, got {text!r}"))
    name, mode = match[1], match[2] or ""
    # A small tonic is the old way to write a minor key.
    minor = mode == "m" or mode.lower().startswith("min") or (not mode and name[0].islower())
    return Key(Name(name[0].upper(), _ALTER[name[1:].lower()]), minor)


def name_above(name: Name, degree: int, semitones: int) -> Name:
    """Return the name *semitones* above *name*, spelled on its *degree* (3 = a third above ...).

    Where that would need a triple accidental the nearest plain spelling is taken.
    """
    letter = LETTER_ORDER[(LETTER_ORDER.index(name.letter) + degree - 1) % 7]
    alter = (name.pc + semitones - LETTERS[letter] + 6) % 12 - 6
    return Name(letter, alter) if abs(alter) <= 2 else common_name((name.pc + semitones) % 12)


def common_name(pc: int) -> Name:
    """Return the commonest spelling of pitch class *pc*."""
    text = _COMMON[pc % 12]
    return Name(text[0], _ALTER[text[1:]])


def plainer(name: Name) -> Name:
    """Return *name* without a double accidental, and without Cb, Fb, E# or B# where a white key's name does."""
    if abs(name.alter) < 2 and str(name) not in ("Fb", "E#", "B#", "Cb"):
        return name
    return common_name(name.pc)


def fifths(key: Key) -> int:
    """Return how many sharps (or, negative, flats) the signature of *key* has."""
    count = "FCGDAEB".index(key.tonic.letter) - 1 + 7 * key.tonic.alter
    return count - 3 if key.minor else count
