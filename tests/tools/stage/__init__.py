"""Measuring the stage: delays, lateness, clock following and soaks, on a real MIDI server and on pretended time.

`measure_live` and `soak_jack` need a JACK server; `soak_hour` runs on a pretended clock. Limits to hold against: 10 ms
of delay and 1 ms of jitter (D. Wessel, M. Wright, 2002, "Problems and prospects for intimate musical control of
computers", Computer Music Journal 26(3):11-22).
"""

from __future__ import annotations

from tests.tools.stage.clock_in import clock_in_error, tempo_change_beats
from tests.tools.stage.run import measure_live
from tests.tools.stage.soak import soak_hour, soak_jack

__all__ = ["clock_in_error", "measure_live", "soak_hour", "soak_jack", "tempo_change_beats"]
