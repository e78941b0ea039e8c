"""Finding the beat of hits that have no tempo of their own: a free take, where the file says 120 and means nothing.

Each tempo is tried by how well the hits gather once a beat, at its divisions and multiples, and by how kick and snare
answer one another, in windows of a few seconds, so that a wavering tempo does no harm. A small linear model says
which of the related tempos (half, double, three to two) players mean: WEIGHTS, trained by ``groove/measure.py`` as a
conditional logit (D. McFadden, 1974) on one half of 270 performances of known tempo (see DEVELOPERS.md).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from handgroove.groove.hits import Groove
from handgroove.groove.kit import Family

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]
    Complex = NDArray[np.complex128]

WINDOW_SEC = 7.0
MOST_WINDOWS = 40
SLOWEST_BPM, FASTEST_BPM = 45.0, 240.0
STEP = 1.01  # tempos tried lie one per cent apart; what is found is refined afterwards
USUAL_BPM = 110.0
RELATED = (1 / 3, 1 / 2, 2 / 3, 3 / 4, 1.0, 4 / 3, 3 / 2, 2.0, 3.0)
SEEDS = 6
LOUDNESS = {Family.HAT: 0.6, Family.RIDE: 0.6, Family.HAND: 0.6, Family.TOM: 0.8, Family.CRASH: 1.2}

FEATURES = (
    "hits once a beat",
    "hits twice a beat",
    "hits four to a beat",
    "hits three to a beat",
    "hits once in two beats",
    "hits once in four beats",
    "kicks once a beat",
    "snares once in two beats",
    "kick and snare in turn",
    "hats once a beat",
    "far from a usual tempo",
)
WEIGHTS = (-2.10, 2.08, 8.38, 5.28, -4.68, -1.59, 1.52, 0.46, 2.68, 1.73, -2.75)


@dataclass(frozen=True, slots=True)
class FoundBeat:
    """A beat found from hits: *tempo_bpm* (quarter notes a minute), and how sure it is.

    *confidence* is the chance (0 to 1) that this and no related tempo is meant; *rival_bpm* is the next likeliest.
    *beats_sec* are the beats one by one, from the first to the last hit's.
    """

    tempo_bpm: float
    confidence: float
    rival_bpm: float
    beats_sec: tuple[float, ...]


def find_beat(groove: Groove) -> FoundBeat:
    """Find the beat of *groove* from when its hits fall in seconds, whatever tempo its timeline states."""
    import numpy as np

    times = np.array([groove.timeline.tick_to_sec(hit.tick) for hit in groove.hits])
    tempos, features = weigh_tempos(groove, times)
    scores = features @ np.array(WEIGHTS)
    chances = np.exp(scores - scores.max())
    chances /= chances.sum()
    best = int(chances.argmax())
    apart = np.abs(np.log(tempos / tempos[best])) > 0.04
    sure = float(chances[~apart].sum())
    rival = float(tempos[apart][chances[apart].argmax()]) if apart.any() else float(tempos[best])
    weights = np.array([_weight(hit.piece.family, hit.velocity) for hit in groove.hits])
    beats = _track(times, weights, 60 / float(tempos[best]))
    tempo = 60 * (len(beats) - 1) / (beats[-1] - beats[0]) if len(beats) > 1 else float(tempos[best])
    return FoundBeat(round(tempo, 2), round(sure, 2), round(rival, 1), tuple(beats))


def _weight(family: Family, velocity: int) -> float:
    return LOUDNESS.get(family, 1.0) * velocity / 100


def weigh_tempos(groove: Groove, times: Numbers) -> tuple[Numbers, Numbers]:
    """Return the tempos worth thinking of (quarter notes a minute) and, a row each, their FEATURES."""
    import numpy as np

    weights = np.array([_weight(hit.piece.family, hit.velocity) for hit in groove.hits])
    families = [hit.piece.family for hit in groove.hits]
    kick, snare, hat = (
        weights * np.array([family in wanted for family in families])
        for wanted in ({Family.KICK}, {Family.SNARE}, {Family.HAT, Family.RIDE})
    )
    count = int(np.log(FASTEST_BPM / SLOWEST_BPM) / np.log(STEP))
    grid = np.array([SLOWEST_BPM * STEP**index for index in range(count)])
    windows = part_windows(times)
    once, twice = gather(times, ((1, weights), (2, weights)), grid, windows)
    tempos = _candidates(grid, once + 0.5 * twice)
    # Counted in four beats, so that all else is a whole multiple.
    every = [(multiple, weights) for multiple in (4, 8, 16, 12, 2, 1)]
    every += [(4, kick), (2, snare), (2, kick - snare), (4, hat)]
    columns = [*gather(times, every, tempos / 4, windows), np.log2(tempos / USUAL_BPM) ** 2]
    return tempos, np.stack(columns, axis=1)


def part_windows(times: Numbers) -> list[tuple[int, int]]:
    """Return slices of *times* a few seconds long, spread evenly where the take is long."""
    import numpy as np

    first, last = float(times[0]), float(times[-1])
    count = max(1, round((last - first) / WINDOW_SEC))
    edges = np.searchsorted(times, np.linspace(first, last + 1e-6, count + 1))
    windows = [(int(a), int(b)) for a, b in pairwise(edges) if b - a > 2]
    if not windows:
        return [(0, len(times))]
    return windows[:: -(-len(windows) // MOST_WINDOWS)]


def gather(
    times: Numbers, weightings: Sequence[tuple[int, Numbers]], tempos: Numbers, windows: list[tuple[int, int]]
) -> list[Numbers]:
    """Return how closely hits gather at one point of the beat, 0 to 1, for each multiple of *tempos* and its weights.

    It is the mean resultant length of circular statistics (K. Mardia, 1972), averaged over the windows.
    """
    import numpy as np

    sums = [np.zeros(len(tempos)) for _ in weightings]
    for start, stop in windows:
        angles = np.outer(tempos * (-2 * np.pi / 60), times[start:stop])
        turns = {1: np.cos(angles) + 1j * np.sin(angles)}
        for index, (multiple, weights) in enumerate(weightings):
            here = weights[start:stop]
            total = float(np.abs(here).sum())
            if total:
                # Not by `@`, whose threads wait for one another longer than this takes.
                sums[index] += np.abs(np.einsum("ij,j->i", _turn(turns, multiple), here)) / total
    return [found / len(windows) for found in sums]


def _turn(turns: dict[int, Complex], multiple: int) -> Complex:
    """Return *turns* turned on to the *multiple* of their angles; products cost a tenth of sines."""
    if multiple not in turns:
        half = 1 << (multiple - 1).bit_length() - 1
        turns[multiple] = _turn(turns, half) * _turn(turns, multiple - half)
    return turns[multiple]


def _candidates(grid: Numbers, gathered: Numbers) -> Numbers:
    """Return the tempos of the highest peaks and all their relatives, each once."""
    import numpy as np

    inner = gathered[1:-1]
    peaks = 1 + np.flatnonzero((inner >= gathered[:-2]) & (inner > gathered[2:]))
    if not len(peaks):
        peaks = np.array([int(gathered.argmax())])
    seeds = grid[peaks[np.argsort(-gathered[peaks], kind="stable")][:SEEDS]]
    every = np.unique(np.round(np.outer(seeds, RELATED).ravel(), 3))
    every = every[(every >= SLOWEST_BPM) & (every <= FASTEST_BPM)]
    kept: list[float] = []
    for tempo in every:
        if not kept or tempo / kept[-1] > 1.012:
            kept.append(float(tempo))
    return np.array(kept)


def _track(times: Numbers, weights: Numbers, beat_sec: float) -> list[float]:
    """Follow the beat through the hits: each beat is pulled a little towards the hits near it and near its half."""
    import numpy as np

    head = times < times[0] + WINDOW_SEC
    turn = np.sum(weights[head] * np.exp(2j * np.pi * times[head] / beat_sec))
    here = float(np.angle(turn)) / (2 * np.pi) * beat_sec
    here += beat_sec * round((float(times[0]) - here) / beat_sec)
    period, beats = beat_sec, [here]
    last = float(times[-1])
    while here < last + 0.25 * beat_sec:
        low, high = np.searchsorted(times, (here - 0.2 * period, here + 0.7 * period))
        pull = load = 0.0
        for onset, weight in zip(times[low:high].tolist(), weights[low:high].tolist(), strict=True):
            place = (onset - here) / period
            deviation = place - round(2 * place) / 2
            if abs(deviation) < 0.14:
                pull, load = pull + weight * deviation, load + weight
        error = pull / load * period if load else 0.0
        beats[-1] = here = here + 0.25 * error
        period = min(1.06 * beat_sec, max(0.94 * beat_sec, period + 0.05 * error))
        here += period
        beats.append(here)
    return beats
