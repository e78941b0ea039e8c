"""Low interval limits: how low two notes may sound together before they turn to mud.

Source: the list taught in arranging courses (D. Lowell, K. Pullig, Arranging for Large Jazz Ensemble, 2003, gives the
minor third's; the whole list follows a published glossary of the term). Pitches are MIDI note numbers of the LOWER note
(middle C = 60). The list's tritone (B0) is lower than its fifth's and taken for a slip: the value here lies between
its neighbours'. Two are a semitone stricter than the list, so that thirds share one limit and seconds another: the
major third stands from C3 (list: B2), the major second from E3 (list: E flat 3). Octaves and wider are never limited.
"""

from __future__ import annotations

LOWEST_UNDER_INTERVAL = {1: 52, 2: 52, 3: 48, 4: 48, 5: 45, 6: 46, 7: 37, 8: 41, 9: 41, 10: 41, 11: 41}


def is_muddy(low: int, high: int) -> bool:
    """Return whether the notes *low* and *high* stand closer than is clear so far down."""
    return low < LOWEST_UNDER_INTERVAL.get(high - low, 0)
