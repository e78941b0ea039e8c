"""How the weights of the fill and tempo models were found: ``python -m tests.tools.train FOLDER``.

It prints the tables that stand, rounded, in fills.py and beat.py, from the half of a labelled folder that is there to
tune on. Logistic regression by Newton's method with a ridge; the tempo's conditional logit by gradient ascent.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import log
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

from handgroove.groove.know import beat, fills
from handgroove.groove.know.backbone import find_backbone
from tests.tools.labelled import Cut, Take, cut_groove, read_takes, sort_hits, splice_fills

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Numbers = NDArray[np.float64]

NEAR = 0.04
RARE_A_GROOVE = 4  # examples of a kind from one performance, so that long ones don't speak for all


@dataclass
class Examples:
    """Feature rows with what they are (1 a fill, 0 none) and how much each counts."""

    rows: list[tuple[float, ...]]
    truths: list[int]
    weights: list[float]

    def add(self, row: tuple[float, ...], truth: int, weight: float) -> None:
        """Add one example."""
        self.rows.append(row)
        self.truths.append(truth)
        self.weights.append(weight)


def fit_logistic(examples: Examples, ridge: float) -> tuple[float, list[float]]:
    """Return the bias and weights of the logistic regression of *examples*, on the features' own scales."""
    import numpy as np

    rows, truths = np.array(examples.rows), np.array(examples.truths)
    weights = np.array(examples.weights)
    mean, scale = rows.mean(0), rows.std(0) + 1e-9
    design = np.hstack([(rows - mean) / scale, np.ones((len(rows), 1))])
    penalty = np.diag([ridge] * rows.shape[1] + [0.0])
    found = np.zeros(design.shape[1])
    for _ in range(60):
        chance = 1 / (1 + np.exp(-design @ found))
        slope = design.T @ (weights * (chance - truths)) + penalty @ found
        bend = (design * (weights * chance * (1 - chance))[:, None]).T @ design + penalty
        found -= np.linalg.solve(bend, slope)
    own = found[:-1] / scale
    return float(found[-1] - own @ mean), [float(weight) for weight in own]


def clip_examples(takes: Sequence[Take], seed: int = 7) -> Examples:
    """Return every fill, every beat, and cuts of one, two and four bars of the beats' own grooves."""
    random, examples = Random(seed), Examples([], [], [])
    for take in takes:
        cut = cut_groove(take.groove)
        row = fills.weigh_clip(cut.cells, cut.beats)
        examples.add(row, int(take.is_fill), 1.0 if take.is_fill else 0.7)
        if take.is_fill:
            continue
        letters = find_backbone(cut.cells).letters
        for length in (1, 2, 4):
            for _ in range(3 if len(cut.cells) > length else 0):
                start = random.randrange(len(cut.cells) - length)
                if all(letters[start : start + length]):
                    part = slice(start, start + length)
                    examples.add(fills.weigh_clip(cut.cells[part], cut.beats[part]), 0, 0.12)
    return examples


def bar_examples(takes: Sequence[Take], seed: int = 2) -> Examples:
    """Return bars of fills set into grooves, odd bars between groove bars, and what is no fill: see fills.py."""
    random, examples = Random(seed), Examples([], [], [])
    for splice in splice_fills(takes):
        cut = cut_groove(splice.groove)
        for index, row in enumerate(_rows(cut)):
            if index in splice.filled and cut.cells[index].cells:
                examples.add(row, 1, 1.5)
            elif index in splice.plain:
                examples.add(row, 0, 1.0)
    hosts = [take for take in takes if not take.is_fill and len(cut_groove(take.groove).bars) >= 12]
    for take in hosts:
        cut = cut_groove(take.groove)
        letters, rows = find_backbone(cut.cells).letters, _rows(cut)
        odd = [i for i in range(2, len(letters) - 2) if not letters[i] and cut.cells[i].cells]
        between = [i for i in odd if letters[i - 1] and letters[i - 2] and letters[i + 1]]
        among = [i for i in odd if not any(letters[i - 2 : i + 3])]
        for indices, truth in ((between, 1), (among, 0)):
            for index in random.sample(indices, min(RARE_A_GROOVE, len(indices))):
                examples.add(rows[index], truth, 0.5)
        _add_passage(examples, take, random.choice(hosts), random)
    return examples


def _rows(cut: Cut) -> list[tuple[float, ...]]:
    return fills.weigh_bars(cut.cells, cut.beats, find_backbone(cut.cells))


def _add_passage(examples: Examples, host: Take, other: Take, random: Random) -> None:
    """Add four bars of another groove set into *host*: unlike it, yet no fill."""
    bars, others = cut_groove(host.groove).bars, cut_groove(other.groove).bars
    if host is other or len(bars) < 14:
        return
    start, at = random.randrange(2, len(others) - 5), random.randrange(4, len(bars) - 6)
    shift = bars[at].bar.start_tick - others[start].bar.start_tick
    first, last = bars[at].bar.start_tick - 80, bars[at + 4].bar.start_tick - 80
    hits = [hit for hit in host.groove.hits if not first <= hit.tick < last]
    passage = [hit for part in others[start : start + 4] for hit in part.hits]
    hits += [replace(hit, tick=max(0, hit.tick + shift)) for hit in passage]
    rows = _rows(cut_groove(replace(host.groove, hits=sort_hits(hits))))
    for row in rows[at : at + 4]:
        examples.add(row, 0, 0.7)


def fit_tempo(
    takes: Sequence[Take], steps: int = 3000, rate: float = 0.3, ridge: float = 0.01
) -> list[float]:
    """Return the weights of the conditional logit that picks the labelled tempo among related ones."""
    import numpy as np

    cases = []
    for take in takes:
        times = np.array([take.groove.timeline.tick_to_sec(hit.tick) for hit in take.groove.hits])
        tempos, features = beat.weigh_tempos(take.groove, times)
        right = np.array([abs(log(tempo / take.tempo_bpm)) < NEAR for tempo in tempos])
        if right.any():
            cases.append((features, right, 0.5 if take.is_fill else 1.0))
    scale = np.std(np.vstack([features for features, _, _ in cases]), axis=0)
    found = np.array(beat.WEIGHTS) * scale
    for _ in range(steps):
        slope = np.zeros(len(found))
        for features, right, weight in cases:
            scores = features / scale @ found
            chance = np.exp(scores - scores.max())
            chance /= chance.sum()
            wanted = chance * right / (chance * right).sum()
            slope += weight * ((features / scale).T @ (wanted - chance))
        found += rate * (slope / len(cases) - ridge * found)
    return [float(weight) for weight in found / scale]


def main() -> None:
    """Print the three tables for the folder that the command line names."""
    takes = [take for take in read_takes(Path(sys.argv[1])) if take.is_tuning]
    for name, model, examples, ridge in (
        ("BAR_MODEL", fills.BAR_MODEL, bar_examples(takes), 6.0),
        ("CLIP_MODEL", fills.CLIP_MODEL, clip_examples(takes), 1.0),
    ):
        bias, weights = fit_logistic(examples, ridge)
        print(f"{name}: bias {bias:.1f} (in use: {model.bias})")
        for (feature, used), weight in zip(model.rows, weights, strict=True):
            print(f"  {feature:<42} {weight:6.2f} (in use: {used})")
    print("WEIGHTS of the tempo model")
    for feature, used, weight in zip(beat.FEATURES, beat.WEIGHTS, fit_tempo(takes), strict=True):
        print(f"  {feature:<42} {weight:6.2f} (in use: {used})")


if __name__ == "__main__":
    main()
