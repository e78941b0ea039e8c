"""Python's collector of cyclic garbage, set for this work: what a part is made of refers to nothing in circles."""

from __future__ import annotations

import gc

# Before the collector looks; by default 700, so that long songs would cost up to a third more a hit
NEW_OBJECTS = 200_000


def collect_rarely() -> None:
    """Have the collector look seldom, and never again at what has been imported; for a process of our own."""
    gc.freeze()
    gc.set_threshold(NEW_OBJECTS, 10, 10)
