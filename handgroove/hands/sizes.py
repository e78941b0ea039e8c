"""Hand sizes: from what pianists say they reach, or from millimetres, to semitones.

Words: "I reach a ninth" is a ninth at a stretch; comfort lies two semitones lower, as between the practical and the
comfortable spans of every finger pair in Parncutt et al. (1997), Table 1. "With comfort" is the other way up.

Millimetres: the octave is 165 mm on the standard keyboard, so a white key is 23.57 mm. A span, thumb tip to little
finger tip, must be some 3 mm more than the keys' centres are apart: so 193, 216 and 239 mm begin the zones "a ninth,
with tension", "a tenth, with tension" and "a tenth, comfortable" of hand spans (R. Boyle, R. Boyle, E. Booker, 2015,
"Pianist hand spans", 12th Australasian Piano Pedagogy Conference; zones as quoted by secondary sources). Its 473
pianists' right hands measure 201 mm on average for women and about 25 mm more for men.
"""

from __future__ import annotations

from handgroove.hands.player import HandSize

OCTAVE_MM = 165.0
MARGIN_MM = 3.0
REACHES = {"seventh": 11, "octave": 12, "ninth": 14, "tenth": 16, "eleventh": 17, "twelfth": 19}
"""Semitones of the major and perfect intervals that pianists name."""

_BY_STEPS = (0, 2, 4, 5, 7, 9, 11, 12, 14, 16, 17, 19, 21)  # white keys apart -> semitones, from C
COMFORT = 2


def size_of_reach(reach: str, *, with_comfort: bool = False) -> HandSize:
    """Return the size of a hand that reaches a *reach* ("octave", "ninth" ...), at a stretch or with comfort."""
    semitones = REACHES[reach]
    if with_comfort:
        return HandSize(most=semitones + COMFORT, comfortable=semitones)
    return HandSize(most=semitones, comfortable=semitones - COMFORT)


def size_of_mm(span_mm: float) -> HandSize:
    """Return the size of a hand that spans *span_mm* millimetres, thumb tip to little finger tip, at a stretch."""
    steps = int((span_mm - MARGIN_MM) / (OCTAVE_MM / 7))
    steps = min(max(steps, 5), len(_BY_STEPS) - 1)
    return HandSize(most=_BY_STEPS[steps], comfortable=_BY_STEPS[steps - 1])
