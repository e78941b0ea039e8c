"""Fills: bars where a drummer leaves the groove to lead into what comes next; and short clips, told beat or fill.

Two small linear models, each a table of features and weights, by logistic regression (D. Cox, 1958, "The regression
analysis of binary sequences", Journal of the Royal Statistical Society B 20(2):215-242), trained on one half of 270
performances labelled beat or fill (J. Gillick and others, 2019, the Groove MIDI Dataset).

BAR_MODEL weighs a bar beside the groove around it. It learned from fill clips set into grooves, from odd bars between
two groove bars, and from passages of another groove, which are no fills; the weight of a crash that follows was set
by hand, since a clip set into a groove is followed by whatever was there. CLIP_MODEL weighs a clip on its own, beside
cuts of one, two and four groove bars. Both give their reasons in words.

CLIP_MODEL is what ``python -m tests.tools.train FOLDER`` finds, rounded. BAR_MODEL is not: it was fitted to an
earlier draw of such examples. The trainer's own weights differ (they lean less on likeness) and did a little worse on
the half tuned on, F1 0.911, or 0.921 at the best of five biases, against 0.926.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp
from statistics import fmean

from handgroove.groove.know.backbone import Backbone
from handgroove.groove.know.cells import BarCells, Voice, make_cells

TIME_VOICES = (Voice.TIME, Voice.OPEN, Voice.RIDE)


@dataclass(frozen=True, slots=True)
class Counted:
    """How often each kind of stroke comes in a stretch of a bar, per beat; *alone* is the share struck singly."""

    toms: float
    snares: float
    ghosts: float
    kicks: float
    time: float
    crashes: float
    alone: float
    onsets: float


@dataclass(frozen=True, slots=True)
class Model:
    """A linear model: *bias* and one (feature in words, weight) row for each feature."""

    bias: float
    rows: tuple[tuple[str, float], ...]

    def logit(self, features: Sequence[float]) -> float:
        """Return the log odds that *features* (in the order of the rows) are a fill's."""
        return self.bias + sum(weight * x for (_, weight), x in zip(self.rows, features, strict=True))

    def chance(self, features: Sequence[float]) -> float:
        """Return the chance (0 to 1) that *features* are a fill's."""
        return 1 / (1 + exp(-max(-30.0, min(30.0, self.logit(features)))))

    def reasons(self, features: Sequence[float]) -> tuple[str, ...]:
        """Return what speaks most for a fill, in words, strongest first."""
        parts = sorted(
            ((weight * x, name) for (name, weight), x in zip(self.rows, features, strict=True)), reverse=True
        )
        return tuple(name for worth, name in parts if worth > 0.4)[:3]


BAR_MODEL = Model(
    -6.4,
    (
        ("unlike the groove", 3.2),
        ("no bar of the groove", 4.5),
        ("more toms", 1.5),
        ("more snare", 0.8),
        ("the time-keeping stops", 0.7),
        ("one drum at a time", 1.7),
        ("a crash follows", 0.6),
        ("a new idea follows", 0.5),
        ("busier than the groove", -0.4),
    ),
)
CLIP_MODEL = Model(
    5.8,
    (
        ("toms", 0.8),
        ("toms in its second half", 0.5),
        ("snare strokes", 0.4),
        ("ghost notes", -0.7),
        ("time-keeping", -0.7),
        ("time-keeping in its second half", -0.3),
        ("kicks", -1.8),
        ("crashes", -1.1),
        ("one drum at a time", 1.6),
        ("beats that repeat", -0.5),
        ("bars that repeat", -7.5),
        ("length", -1.6),
        ("silent beats", 5.0),
    ),
)


_NONE = dict.fromkeys(Voice, 0)


def count_strokes(cells: BarCells, beats: float, first_slot: int = 0) -> Counted:
    """Count the strokes of *cells* from *first_slot* on, per beat, where the bar has *beats* beats."""
    share = max(1e-6, beats * (cells.slots - first_slot) / cells.slots)
    number = _NONE.copy()
    slots: dict[int, int] = {}
    pedal = Voice.PEDAL
    for slot, voice in cells.cells:
        if slot < first_slot:
            continue
        number[voice] += 1
        if voice is not pedal:
            slots[slot] = slots.get(slot, 0) + 1
    alone = list(slots.values()).count(1) / len(slots) if slots else 0.0
    return Counted(
        (number[Voice.TOM] + number[Voice.HAND]) / share,
        number[Voice.SNARE] / share,
        number[Voice.GHOST] / share,
        number[Voice.KICK] / share,
        sum(number[voice] for voice in TIME_VOICES) / share,
        number[Voice.CRASH] / share,
        alone,
        len(slots) / share,
    )


def weigh_bars(
    cells: Sequence[BarCells], beats: Sequence[float], backbone: Backbone
) -> list[tuple[float, ...]]:
    """Return BAR_MODEL's features of each bar, beside the nearest idea of *backbone*."""
    counted = {idea.letter: count_strokes(idea.cells, beats[idea.model]) for idea in backbone.ideas}
    rows: list[tuple[float, ...]] = []
    for index, bar in enumerate(cells):
        whole = count_strokes(bar, beats[index])
        near = max(backbone.ideas, key=lambda idea: idea.cells.likeness(bar), default=None)
        usual = counted[near.letter] if near else whole
        following = cells[index + 1] if index + 1 < len(cells) else None
        crash = bool(following and (0, Voice.CRASH) in following.cells)
        crash_usual = bool(near and (0, Voice.CRASH) in near.cells.cells)
        after = backbone.letters[index + 1] if index + 1 < len(cells) else ""
        before = next((letter for letter in reversed(backbone.letters[:index]) if letter), "")
        rows.append(
            (
                1 - backbone.likeness[index],
                float(not backbone.letters[index]),
                max(0.0, whole.toms - usual.toms),
                max(0.0, whole.snares - usual.snares),
                (usual.time - whole.time) / (usual.time + 0.5),
                whole.alone - usual.alone,
                float(crash and not crash_usual),
                float(bool(after and before and after != before)),
                whole.onsets - usual.onsets,
            )
        )
    return rows


def weigh_clip(cells: Sequence[BarCells], beats: Sequence[float]) -> tuple[float, ...]:
    """Return CLIP_MODEL's features of a short clip whose bars are *cells*; empty bars at its ends don't count."""
    kept = [(bar, count) for bar, count in zip(cells, beats, strict=True) if bar.cells]
    if not kept:
        return (0.0,) * len(CLIP_MODEL.rows)
    whole = [count_strokes(bar, count) for bar, count in kept]
    late = [count_strokes(bar, count, bar.slots // 2) for bar, count in kept]

    def mean(name: str, counted: Sequence[Counted]) -> float:
        return fmean(getattr(item, name) for item in counted)

    pairs = [a.likeness(b) for (a, _), (b, _) in pairwise(kept)]
    return (
        mean("toms", whole),
        mean("toms", late),
        mean("snares", whole),
        mean("ghosts", whole),
        mean("time", whole),
        mean("time", late),
        mean("kicks", whole),
        mean("crashes", whole),
        mean("alone", whole),
        fmean(_beat_likeness(bar, count) for bar, count in kept),
        fmean(pairs) if pairs else 0.5,
        min(3.0, len(kept) / 2),
        fmean(_silence(bar, count) for bar, count in kept),
    )


def _beat_likeness(bar: BarCells, beats: float) -> float:
    """Return how alike the first and second half of a bar are."""
    half = bar.slots // 2
    first = make_cells(((slot, voice) for slot, voice in bar.cells if slot < half), half)
    second = make_cells(((slot - half, voice) for slot, voice in bar.cells if slot >= half), half)
    return first.likeness(second)


def _silence(bar: BarCells, beats: float) -> float:
    """Return the share of beats with no stroke in them."""
    count = max(1, round(beats))
    struck = {slot * count // bar.slots for slot, _ in bar.cells}
    return 1 - len(struck) / count
