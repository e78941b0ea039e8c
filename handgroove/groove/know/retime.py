"""Giving a take its own bars: a beat found from the hits, or a drift that is followed, becomes the timeline."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from handgroove.groove.hits import Groove
from handgroove.groove.kit import Family
from handgroove.groove.know.beat import FoundBeat, find_beat
from handgroove.groove.meant.drift import FEWEST_STROKES, find_drift
from handgroove.groove.meant.lean import find_lean
from handgroove.timeline import TICKS_PER_QUARTER, Metre, MetreChange, TempoChange, Timeline

OPENING_BARS = 2  # where the drummer is heard to begin, before any drift
# What a file means when it says nothing (MIDI Manufacturers Association, Standard MIDI Files 1.0)
DEFAULT_BPM = 120.0
FEWEST_HITS = 20
# Of 140 beats all but 2% gathered closer on their own tempo (fills scatter more); at 120, 98% less
LOOSE = 0.33
CLOSE = 0.8  # nothing to doubt
MUCH_CLOSER = 0.2
SURE, CLEAR = 0.8, 0.5
STEADY = 0.01
NEAR_DEFAULT = 0.03  # tempos so near 120 can't be told from it within a window
# Eighths in all, share of steps the same way, steps between windows
DRIFTED, ONE_WAY, FEWEST_STEPS = 0.5, 0.8, 2


def find_lost_beat(groove: Groove) -> FoundBeat | None:
    """Return the beat of *groove* where its file's tempo says nothing about it, or None where the tempo holds.

    A file has lost its beat when it stays at 120 throughout and the hits do not gather on that tempo's grid.
    """
    tempos = groove.timeline.tempos
    if len(tempos) > 1 or abs(tempos[0].tempo_bpm - DEFAULT_BPM) > 0.01 or len(groove.hits) < FEWEST_HITS:
        return None
    straight, threes = _gathering(groove, DEFAULT_BPM)
    drifting = _drifts(groove)
    if straight >= CLOSE and not drifting:
        return None
    beat = find_beat(groove)
    found_straight, found_threes = _gathering(groove, beat.tempo_bpm)
    if drifting and abs(beat.tempo_bpm / DEFAULT_BPM - 1) < NEAR_DEFAULT and found_straight > CLEAR:
        return beat  # so near 120 that a few seconds fit both, while the whole take leaves the file's beats behind
    if straight < LOOSE and beat.confidence >= SURE and found_straight > CLEAR:
        return beat  # what looked like triplets are another tempo's sixteenths
    stated, found = max(straight, threes), max(found_straight, found_threes)
    return beat if found - stated > (0.0 if stated < LOOSE else MUCH_CLOSER) else None


def _drifts(groove: Groove) -> bool:
    """Return whether the hits leave the eighths of 120, always the same way, by half an eighth in all or more."""
    import numpy as np

    from handgroove.groove.know.beat import part_windows

    times = np.array([groove.timeline.tick_to_sec(hit.tick) for hit in groove.hits])
    eighths = times * (2 * DEFAULT_BPM / 60)
    places = [
        np.angle(np.exp(2j * np.pi * eighths[start:stop]).sum()) / (2 * np.pi)
        for start, stop in part_windows(times)
    ]
    steps = (np.diff(places) + 0.5) % 1.0 - 0.5
    if len(steps) < FEWEST_STEPS:
        return False
    total = abs(float(steps.sum()))
    return total >= DRIFTED and total >= ONE_WAY * float(np.abs(steps).sum())


def _gathering(groove: Groove, tempo_bpm: float) -> tuple[float, float]:
    """Return how closely the hits gather on a tempo's straight grids (two, four to the beat), and on threes, 0 to 1."""
    import numpy as np

    from handgroove.groove.know.beat import gather, part_windows

    times = np.array([groove.timeline.tick_to_sec(hit.tick) for hit in groove.hits])
    tempos = np.array([2.0, 4.0, 3.0]) * tempo_bpm
    two, four, three = gather(times, ((1, np.ones(len(times))),), tempos, part_windows(times))[0]
    return float(max(two, four)), float(three)


def retime(groove: Groove, beat: FoundBeat) -> Groove:
    """Return *groove* with *beat* as its timeline: bars of 4/4 from the likeliest downbeat, a tempo for each bar."""
    first = _find_downbeat(groove, beat.beats_sec)
    beats = beat.beats_sec[first:]
    if len(beats) < 2:
        return groove
    start = groove.timeline.tick_to_sec(groove.hits[0].tick)
    period = beats[1] - beats[0]
    lead = 4 if start < beats[0] - period / 8 else 0  # a pickup needs a bar to stand in
    origin = beats[0] - lead * period
    tempos = _tempos(beats, lead)
    metres = (MetreChange(0, Metre(4, 4)),)
    ruler = Timeline(metres, tempos, 0)
    sec = groove.timeline.tick_to_sec
    hits = tuple(
        replace(hit, tick=max(0, ruler.sec_to_tick(max(0.0, sec(hit.tick) - origin)))) for hit in groove.hits
    )
    ordered = tuple(sorted(hits, key=lambda hit: hit.order))
    end = ruler.bar_at(ordered[-1].tick).end_tick
    return replace(groove, hits=ordered, timeline=Timeline(metres, tempos, end), markers=())


def _tempos(beats: Sequence[float], lead: int) -> tuple[TempoChange, ...]:
    """Return one tempo for a steady take, or one for each bar of a wavering one."""
    mean = (beats[-1] - beats[0]) / (len(beats) - 1)
    bars = [beats[index : index + 5] for index in range(0, len(beats) - 1, 4)]
    lengths = [(bar[-1] - bar[0]) / (len(bar) - 1) for bar in bars if len(bar) > 1]
    straight = max(abs(beat - beats[0] - index * mean) for index, beat in enumerate(beats))
    if straight < STEADY * 4 * mean:
        return (TempoChange(0, round(mean * 1e6)),)
    changes = [TempoChange(0, round(lengths[0] * 1e6))]
    for index, length in enumerate(lengths[1:], start=1):
        changes.append(TempoChange((lead + 4 * index) * TICKS_PER_QUARTER, round(length * 1e6)))
    return tuple(
        change
        for before, change in pairwise((TempoChange(-1, 0), *changes))
        if before.quarter_us != change.quarter_us
    )


def follow_drift(groove: Groove) -> Groove:
    """Return *groove* with a tempo for each bar where the drummer drifts from the file's; hits keep their seconds."""
    import numpy as np

    timeline = groove.timeline
    if len(groove.hits) < FEWEST_STROKES or timeline.pickup_ticks:
        return groove
    bar = timeline.metre_at(0).bar_ticks
    ticks = [hit.tick for hit in groove.hits]
    opening = [tick for tick in ticks if tick < ticks[0] + OPENING_BARS * bar]
    lean = find_lean(np.array(opening), np.ones(len(opening)), timeline).ticks
    drift = find_drift(ticks, timeline, lean)
    if not drift:
        return groove
    played = np.array([tick for tick, _ in drift])
    meant = np.maximum.accumulate(played - np.array([behind for _, behind in drift]) + lean)
    count = int(meant[-1] // bar) + 2
    lines = np.arange(count) * bar
    at = np.interp(lines, meant, played)
    at = np.where(lines < meant[0], lines + played[0] - meant[0], at)
    at = np.where(lines > meant[-1], lines + played[-1] - meant[-1], at)
    sec = timeline.tempos[0].quarter_us / 960
    quarters = np.maximum(1, np.rint(np.diff(at) / bar * sec * 960)).astype(int)
    tempos = [TempoChange(0, int(quarters[0]))]
    for line, quarter in zip(lines[1:-1].tolist(), quarters[1:].tolist(), strict=True):
        if quarter != tempos[-1].quarter_us:
            tempos.append(TempoChange(line, quarter))
    moved = Timeline(timeline.metres, tuple(tempos), 0)
    start = at[0] * sec / 1e6
    hits = (
        replace(hit, tick=max(0, moved.sec_to_tick(timeline.tick_to_sec(hit.tick) - start)))
        for hit in groove.hits
    )
    ordered = tuple(sorted(hits, key=lambda hit: hit.order))
    return replace(
        groove, hits=ordered, timeline=replace(moved, end_tick=moved.bar_at(ordered[-1].tick).end_tick)
    )


_DOWNBEAT = {
    Family.KICK: (1.0, -0.3, 0.4, -0.3),
    Family.SNARE: (-1.0, 1.0, -0.5, 1.0),
    Family.CRASH: (1.5, 0, 0.2, 0),
}


def _find_downbeat(groove: Groove, beats: Sequence[float]) -> int:
    """Return which of the first four beats begins a bar: kicks and crashes on 1, snares on 2 and 4."""
    if len(beats) < 2:
        return 0
    scores = [0.0] * 4
    index = 0
    for hit in groove.hits:
        if hit.piece.family not in _DOWNBEAT:
            continue
        here = groove.timeline.tick_to_sec(hit.tick)
        while index + 1 < len(beats) and beats[index + 1] <= here:
            index += 1
        period = beats[min(index + 1, len(beats) - 1)] - beats[min(index, len(beats) - 2)]
        place = index + (here - beats[index]) / period
        if abs(place - round(place)) > 0.15:
            continue
        for phase in range(4):
            scores[phase] += _DOWNBEAT[hit.piece.family][(round(place) - phase) % 4] * hit.velocity / 100
    return scores.index(max(scores))
