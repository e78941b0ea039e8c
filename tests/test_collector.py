"""The collector's settings."""

from __future__ import annotations

import gc

from handgroove.collector import NEW_OBJECTS, collect_rarely


def test_the_collector_looks_seldom_but_still_looks() -> None:
    """It waits for many new objects, leaves alone what is there already, and is not switched off."""
    before = gc.get_threshold()
    try:
        collect_rarely()
        assert gc.get_threshold()[0] == NEW_OBJECTS
        assert gc.get_freeze_count() > 0
        assert gc.isenabled()
    finally:
        gc.unfreeze()
        gc.set_threshold(*before)
