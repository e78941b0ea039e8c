"""What makes a figure sing: every term of its cost, each with its reason in words. Lower is better.

Motion is priced by how rare an interval is in song: 346,655 intervals of 7,238 European folk melodies (the Essen
collection; H. Schaffrath, 1995), unison 22%, steps 49%, thirds 17%, fourths and fifths 9%, wider 2%. That leaps turn
back and small steps go on falls under the same statistics (D. Huron, 2006, *Sweet Anticipation*, chapter 5). The
weights between the terms are ours.
"""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple


class Term(StrEnum):
    """What a figure's cost is made of."""

    CONTOUR = "contour"
    CHORD_TONES = "chord tones"
    MOTION = "motion"
    LEAPS = "leaps"
    REPEATS = "repeated notes"
    MOTIVE = "motive"
    LANDING = "landing"
    SPEED = "speed"
    RANGE = "range"


class Move(NamedTuple):
    """Classes of melodic motion."""

    leap_down: int = 0
    step_down: int = 1
    same: int = 2
    step_up: int = 3
    leap_up: int = 4


MOVE = Move()
SMALLEST_LEAP = 5  # semitones: a fourth; thirds need no resolution

# semitones (absolute) -> cost: half the log of how much rarer than a step, per pitch, the interval is in song.
_MOTION = (0.7, 0.0, 0.0, 0.6, 0.6, 1.2, 1.5, 1.2, 2.4, 2.4, 2.8, 3.0, 2.2)
TOO_FAR = 6.0
MOTION_BETWEEN = 0.5  # the share of it from one group to the next: the ear hears a new start

NEAR_TARGET = 2  # semitones off the drum's height that cost nothing
CONTOUR_LITERAL, CONTOUR_FREE = 0.22, 0.05  # a semitone
LEVEL_SPAN = 3.6  # semitones between neighbouring drums of a fill: four drums fill an octave
ACCENT_OFF_CHORD = 3.0
BEAT_OFF_CHORD = 0.7
OUT_OF_SCALE = 1.6
UNRESOLVED_LEAP = 1.4
SAME_WAY = -0.12  # a step goes on in its direction
TURNED = 0.08
THRICE = 2.0
OFF_MOTIVE = 2.4
ON_MOTIVE = -0.14
FAST_PER_SEC = 6.0
REPEATED_PER_SEC = 8.0  # a key struck again faster than this needs another finger each time
TOO_FAST = 3.0
OVER_EDGE = 0.5

LANDING_STEP = {1: -0.5, 2: -0.2, 0: 1.6, 3: 0.9, 4: 1.1}
LANDING_FAR = 2.6
LANDING_TONE = {0: 0.1, 3: -0.2, 4: -0.2, 7: 0.4}
LANDING_OTHER = 0.9


def motion_cost(semitones: int) -> float:
    """Return what a melodic interval costs (semitones, either sign)."""
    size = abs(semitones)
    return _MOTION[size] if size < len(_MOTION) else TOO_FAR


def move_class(semitones: int) -> int:
    """Return the class of motion that an interval belongs to."""
    if semitones == 0:
        return MOVE.same
    if semitones > 0:
        return MOVE.leap_up if semitones >= SMALLEST_LEAP else MOVE.step_up
    return MOVE.leap_down if semitones <= -SMALLEST_LEAP else MOVE.step_down


def leap_cost(before: int, semitones: int) -> float:
    """Return what *semitones* cost after a move of class *before*: leaps should turn back by step, steps go on."""
    now = move_class(semitones)
    if before in (MOVE.leap_up, MOVE.leap_down):
        back = semitones < 0 if before == MOVE.leap_up else semitones > 0
        return 0.0 if back and abs(semitones) < SMALLEST_LEAP else UNRESOLVED_LEAP
    if MOVE.same in (before, now):
        return 0.0
    return SAME_WAY if (before > MOVE.same) == (now > MOVE.same) else TURNED


def repeat_cost(before: int, semitones: int) -> float:
    """Return what a repeated note costs: the third of a row is dull."""
    return THRICE if before == MOVE.same and semitones == 0 else 0.0


def speed_costs(per_sec: float, widest: int) -> list[float]:
    """Return what each interval up to *widest* semitones costs at *per_sec* notes a second, a repeated note first.

    Wide or repeated ones grow hard when it is fast.
    """
    haste = max(0.0, per_sec - FAST_PER_SEC)
    repeated = 0.35 * haste + (TOO_FAST if per_sec > REPEATED_PER_SEC else 0.0)
    wider = 0.06 * haste
    return [repeated, *[wider * (size - 4) if size > 4 else 0.0 for size in range(1, widest + 1)]]


def landing_step_cost(semitones: int) -> float:
    """Return what the last interval, into the landing note, costs."""
    return LANDING_STEP.get(abs(semitones), LANDING_FAR)


def landing_tone_cost(above_root: int) -> float:
    """Return what it costs to land on the tone *above_root* semitones above the landing chord's root."""
    return LANDING_TONE.get(above_root % 12, LANDING_OTHER)
