"""How a drum's loudness becomes the piano's.

Common practice, no source: a drum struck with all force is not a piano note struck with all force, the left hand stays
under the right (at most 0.85 of it), a ghost is about a third of an accent, and the drummer's order of loudness is
kept: both curves rise all the way.
"""

from __future__ import annotations

LEFT_SHARE = 0.85
_QUIETEST, _SLOPE = 20, 0.62
_GHOST_SLOPE = 0.66  # a ghost of 38 gives 25: a third of the left thumb's 76 for an accent of 112
_SOFTEST_GHOST = 16  # a piano key struck more softly does not speak
LOUDEST_GHOST = 40  # more is a main stroke


def right_velocity(velocity: int) -> int:
    """Return the right hand's velocity for a drum's *velocity* (both 1 to 127)."""
    return round(_QUIETEST + _SLOPE * velocity)


def left_velocity(velocity: int) -> int:
    """Return the left hand's velocity for a drum's *velocity* (both 1 to 127)."""
    return round(LEFT_SHARE * (_QUIETEST + _SLOPE * velocity))


def ghost_velocity(velocity: int) -> int:
    """Return the velocity of a ghost note for a drum's *velocity* (both 1 to 127)."""
    return min(max(round(_GHOST_SLOPE * velocity), round(_SOFTEST_GHOST + velocity / 8)), LOUDEST_GHOST)
