"""How a part's harmony is voiced: idioms, ranges, the left hand's choices, pushes and the pedal.

Pitches are MIDI note numbers (middle C = 60 = C4).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from handgroove.groove.hits import Feel


class Idiom(StrEnum):
    """How the right hand's chords are built."""

    AUTO = "auto"
    TRIADS = "triads"
    OPEN_FIFTHS = "open fifths"
    SHELLS = "shells"
    ROOTLESS = "rootless"
    QUARTAL = "quartal"


class TopLine(StrEnum):
    """What the highest note of the right hand's chords does."""

    FREE = "free"
    HELD = "held"
    MOVING = "moving"


class LowChoice(StrEnum):
    """Which note of the chord the left hand's little finger takes."""

    BASS = "bass"  # the note under the slash, or the root
    ROOT = "root"
    FIFTH = "fifth"


class Reply(StrEnum):
    """What the left thumb answers above the little finger's note."""

    OCTAVE = "octave"
    FIFTH = "fifth"
    TENTH = "tenth"
    CHORD_TONE = "chord tone"


class PedalMode(StrEnum):
    """How the sustain pedal is used."""

    AUTO = "auto"
    HARMONY = "harmony"
    HALF_BAR = "half bar"
    OFF = "off"


@dataclass(frozen=True, slots=True)
class HarmonySettings:
    """How chords are voiced and the left hand placed.

    *right_range* and *low_range* are the lowest and highest pitch for the right hand's chords and the left hand's low
    note. *centre* is where the right hand likes to be. *colour* adds the tensions that the key allows where the symbol
    names none. *most_notes* is the most notes a right-hand chord has.
    """

    idiom: Idiom = Idiom.AUTO
    colour: bool = False
    top: TopLine = TopLine.FREE
    right_range: tuple[int, int] = (55, 79)
    centre: int = 64
    most_notes: int = 4
    low: LowChoice = LowChoice.BASS
    low_range: tuple[int, int] = (28, 43)  # E1 is low enough
    low_centre: int = 33  # A1
    pedal: PedalMode = PedalMode.AUTO


# C2 to B2, round E2: where a line in two or walking has room on both sides
LINE_RANGE, LINE_CENTRE = (36, 47), 40


def settings_for_feel(feel: Feel, tempo_bpm: float) -> HarmonySettings:
    """Return the settings that suit *feel* at *tempo_bpm* where a pattern names none.

    Swung eighths ask for rootless chords with tensions, swung sixteenths and middling funk for tensions too; slow
    straight music and rock stay with triads and what the symbol says. Common practice, no source.
    """
    if feel.swing_ratio >= 1.3 and feel.swing_unit_ticks == 480 and tempo_bpm >= 90:
        return HarmonySettings(idiom=Idiom.ROOTLESS, colour=True)
    if feel.swing_ratio >= 1.2 and feel.swing_unit_ticks == 240:
        return HarmonySettings(idiom=Idiom.ROOTLESS, colour=False)
    return HarmonySettings()
