"""How well MIDI clock is followed: simulated senders with jitter, steady and changing."""

from __future__ import annotations

import random
from math import sqrt

from handgroove.live.core.follow import ClockFollower
from handgroove.live.core.messages import CLOCK, CLOCKS_PER_QUARTER, START


def clock_in_error(
    jitter_sec: float = 0.001, tempo_bpm: float = 120.0, beats: int = 200, seed: int = 1
) -> dict[str, float]:
    """Return the error of beat times (RMS and greatest, in ms, first two beats left out) and of the tempo."""
    rng = random.Random(seed)
    follower = ClockFollower()
    follower.take((START,), 0.0)
    period_sec = 60 / (tempo_bpm * CLOCKS_PER_QUARTER)
    errors, tempos = [], []
    for number in range(beats * CLOCKS_PER_QUARTER):
        true_sec = 1.0 + number * period_sec
        follower.take((CLOCK,), true_sec + rng.gauss(0.0, jitter_sec))
        if number >= 2 * CLOCKS_PER_QUARTER and number % CLOCKS_PER_QUARTER == 0:
            errors.append(follower.fit_sec - true_sec)
            tempos.append(abs((follower.tempo_bpm or 0.0) - tempo_bpm))
    return {
        "beat error rms ms": 1e3 * sqrt(sum(error * error for error in errors) / len(errors)),
        "beat error max ms": 1e3 * max(map(abs, errors)),
        "tempo error max bpm": max(tempos),
    }


def tempo_change_beats(from_bpm: float, to_bpm: float, jitter_sec: float = 0.001, seed: int = 1) -> float:
    """Return how many beats after a change of tempo the followed tempo has come, for good, within 2% of it."""
    rng = random.Random(seed)
    follower = ClockFollower()
    follower.take((START,), 0.0)
    sec, late = 1.0, 0
    for number in range(20 * CLOCKS_PER_QUARTER):
        changed = number - 10 * CLOCKS_PER_QUARTER
        tempo_bpm = from_bpm if changed < 0 else to_bpm
        follower.take((CLOCK,), sec + rng.gauss(0.0, jitter_sec))
        if changed >= 0 and abs((follower.tempo_bpm or 0.0) - to_bpm) > 0.02 * to_bpm:
            late = changed + 1
        sec += 60 / (tempo_bpm * CLOCKS_PER_QUARTER)
    return late / CLOCKS_PER_QUARTER
