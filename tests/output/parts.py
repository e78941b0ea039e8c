"""Parts for the output's tests, made by the main job from shipped patterns and small charts."""

from __future__ import annotations

from functools import cache

import handgroove
from handgroove.part import Part
from tests.styles import every_hat


@cache
def golden_part(bars: int = 4) -> Part:
    """Return straight eighths over Am7 and Fmaj7, each hat answered."""
    pattern = every_hat()
    part = handgroove.translate(pattern.groove(bars), handgroove.parse_chart("| Am7 | Fmaj7 |"), pattern)
    assert isinstance(part, Part)
    return part
