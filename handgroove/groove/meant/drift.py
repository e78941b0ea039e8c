"""Drift: a drummer who leaves the file's beat bit by bit, a little faster or slower than the tempo that it states.

A loop locks on to the strokes near beats and half beats, as an ear does: each moves the beat a little, and the tempo
less (E. Large and J. Kolen, 1994, "Resonance and the perception of musical meter", Connection Science 6:177-208, from
memory; the gains are ours). Where the strokes lie much closer to the beat that was followed than to the file's, the
drummer drifts.
"""

from __future__ import annotations

from collections.abc import Sequence

from handgroove.timeline import Timeline

NEAR_SHARE = 0.13  # of a beat: strokes no farther from a beat or its half move the loop
GAIN, TEMPO_GAIN = 0.12, 0.03  # of a stroke's distance, for the beat, and each beat for the tempo
FASTEST = 0.08  # of the tempo that the loop may gain or lose
FEWEST_DRIFTED = 0.3  # of a beat in all: less is a lean that comes and goes
FEWEST_STROKES = 24
CLOSER = 0.12  # more of the strokes are near the beat that was followed than near the file's


def find_drift(ticks: Sequence[int], timeline: Timeline, lean_ticks: int) -> list[tuple[int, int]]:
    """Return how far behind the file's beat the drummer is (ticks) stroke by stroke; nothing where the beat holds.

    *ticks* are in order; *lean_ticks* is where the drummer is taken to begin.
    """
    start = timeline.bar_start(1)
    metre = timeline.metre_at(start)
    # An uneven bar's beats lead the loop astray
    beat, is_even = metre.beat_ticks, metre.is_compound or metre.unit <= 4
    if not is_even or len(ticks) < FEWEST_STROKES or len(timeline.metres) > 1 or len(timeline.tempos) > 1:
        return []
    part = beat // 3 if metre.is_compound else beat // 2
    near = NEAR_SHARE * beat
    half, fastest = part / 2, FASTEST
    behind, rate, last = float(lean_ticks), 0.0, ticks[0]
    followed: list[tuple[int, int]] = []
    close = still = 0
    for tick in ticks:
        passed = tick - last
        last = tick
        behind += rate * passed
        off = (tick - start - behind + half) % part - half
        if abs((tick - start - lean_ticks + half) % part - half) < near / 2:
            still += 1
        if -near < off < near:
            close += abs(off) < near / 2
            behind += GAIN * off
            rate = min(fastest, max(-fastest, rate + TEMPO_GAIN * off / beat * min(1.0, passed / part)))
        followed.append((tick, round(behind)))
    drifted = max(late for _, late in followed) - min(late for _, late in followed)
    if drifted < FEWEST_DRIFTED * beat or close - still < CLOSER * len(ticks):
        return []
    return followed
