"""Chord symbols as musicians write them: parsed to root, bass, tones, tensions and scale, and formatted back.

    parse_chord("C-7b5").symbol == "Cm7b5"

One home for the names that the rest of the package uses; the work is done in the modules imported here.
"""

from __future__ import annotations

from handgroove.harmony.symbols.chord_model import LETTERS, Chord, Key, Name
from handgroove.harmony.symbols.chord_text import parse_chord
from handgroove.harmony.symbols.names import parse_key

__all__ = ["LETTERS", "Chord", "Key", "Name", "parse_chord", "parse_key"]
