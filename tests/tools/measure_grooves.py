"""Measuring what is known of grooves against labels: ``python -m tests.tools.bench grooves FOLDER``.

Everything is told for the half of the files that the models were tuned on and for the other half. Tempo errors are
measured with the files' tempos hidden; a tempo within 4% counts as found (F. Gouyon and others, 2006, "An experimental
comparison of audio tempo induction algorithms", IEEE Transactions on Audio, Speech, and Language Processing 14(5)).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from math import log
from pathlib import Path
from statistics import fmean, median

from handgroove.groove.hits import Feel
from handgroove.groove.know.barlines import part_bars
from handgroove.groove.know.beat import find_beat
from handgroove.groove.know.feel import SHORTEST_SEC, find_feel
from handgroove.groove.know.knowledge import EARLY_TICKS, ClipKind, Knowledge, know_groove
from handgroove.groove.meant.swing import swing
from tests.tools.fill_windows import WAYS, splice_windows
from tests.tools.labelled import Splice, Take, read_takes, sort_hits, splice_fills

FOUND = 0.04
BENT = (1.5, 2.0)  # swing ratios that straight takes are bent to
OCTAVES = (1 / 3, 1 / 2, 2 / 3, 1.0, 3 / 2, 2.0, 3.0)


@dataclass(frozen=True, slots=True)
class Score:
    """How well a yes-or-no question was answered."""

    right: int
    wrong: int
    missed: int

    @property
    def precision(self) -> float:
        """Return the share of yeses that were right."""
        return self.right / max(1, self.right + self.wrong)

    @property
    def recall(self) -> float:
        """Return the share of what was there that was found."""
        return self.right / max(1, self.right + self.missed)

    @property
    def f1(self) -> float:
        """Return the harmonic mean of precision and recall."""
        both = self.precision + self.recall
        return 2 * self.precision * self.recall / both if both else 0.0

    def __str__(self) -> str:
        return f"precision {self.precision:.3f}, recall {self.recall:.3f}, F1 {self.f1:.3f}"


def score_answers(pairs: Iterable[tuple[bool, bool]]) -> Score:
    """Score (answered, true) pairs."""
    right = wrong = missed = 0
    for answered, true in pairs:
        right += answered and true
        wrong += answered and not true
        missed += true and not answered
    return Score(right, wrong, missed)


def score_kinds(takes: Sequence[Take], known: Sequence[Knowledge]) -> Score:
    """Score how well fills are told from beats, each file a clip."""
    return score_answers(
        (k.kind is ClipKind.FILL, take.is_fill) for take, k in zip(takes, known, strict=True)
    )


def score_splices(splices: Sequence[Splice], *, short_too: bool = True) -> Score:
    """Score how well the bars of fills set into grooves are found, beside bars known to be the groove's own.

    Labels are of whole bars: drummers end many a bar of their grooves with a fill of half a bar or less. Unless
    *short_too*, such a one in a bar of the groove is not counted as wrong.
    """
    pairs = []
    for splice in splices:
        known = know_groove(splice.groove)
        numbers = set(known.fill_bars)
        short = {
            fill.bar_numbers[0]
            for fill in known.fills
            if 2 * (fill.landing_tick - fill.start_tick)
            <= known.groove.timeline.bar_at(fill.start_tick).length_ticks
        }
        whole = numbers if short_too else numbers - short
        for part in known.bars:
            index = (
                part.bar.start_tick // part.bar.metre.bar_ticks
            )  # a bar before the music may not be counted
            if index in splice.filled and part.hits:
                pairs.append((part.bar.number in numbers, True))
            elif index in splice.plain:
                pairs.append((part.bar.number in whole, False))
    return score_answers(pairs)


@dataclass(frozen=True, slots=True)
class TempoScore:
    """How near found tempos come: shares *exact*, and right but for an *octave*; the *error* of the exact ones."""

    count: int
    exact: float
    octave: float
    error_percent: float

    def __str__(self) -> str:
        return (
            f"{self.count} files: {self.exact:.0%} found, {self.octave:.0%} but for half, double or three to two;"
            f" median error of those found {self.error_percent:.2f}%"
        )


def score_tempos(takes: Sequence[Take]) -> TempoScore:
    """Score the tempos found from the hits alone."""
    if not takes:
        return TempoScore(0, 0.0, 0.0, 0.0)
    found = [(find_beat(take.groove).tempo_bpm, take.tempo_bpm) for take in takes]
    exact = [abs(log(a / b)) < FOUND for a, b in found]
    octave = [any(abs(log(a / b / times)) < FOUND for times in OCTAVES) for a, b in found]
    errors = [abs(a / b - 1) * 100 for (a, b), ok in zip(found, exact, strict=True) if ok]
    return TempoScore(len(found), fmean(exact), fmean(octave), median(errors) if errors else 0.0)


def swing_errors(pairs: Iterable[tuple[Take, Knowledge]]) -> list[float | None]:
    """Return how far, in per cent, found swing is off when straight takes are bent to known ratios.

    Labels don't tell swing, so it is made: a straight take's own ratio times that of the bend is what should be found.
    None stands for a bend whose unit, or whose swing at all, was not found.
    """
    errors: list[float | None] = []
    for take, known in pairs:
        feel, metre = known.feel, take.groove.timeline.metres[0].metre
        if take.is_fill or feel.is_swung or not feel.upbeats or metre.beat_ticks != 960:
            continue
        unit, shift = feel.swing_unit_ticks, round(feel.offset_beats * metre.beat_ticks)
        straight = known.reading.groove  # the drummer's lean taken off
        for ratio in BENT:
            if 2 * unit / (1 + ratio) / (take.tempo_bpm * 16) < SHORTEST_SEC:
                continue
            bent = Feel(ratio, unit)
            hits = (
                replace(h, tick=max(0, round(float(swing(h.tick - shift, bent)) + shift)))
                for h in straight.hits
            )
            moved = sort_hits(hits)
            bars = part_bars(replace(straight, hits=moved), [hit.tick + EARLY_TICKS for hit in moved])
            found = find_feel(bars, take.tempo_bpm)
            right = found.is_swung and found.swing_unit_ticks == unit
            errors.append(abs(found.swing_ratio / (ratio * feel.swing_ratio) - 1) * 100 if right else None)
    return errors


def _format_swing(errors: Sequence[float | None]) -> str:
    """Format swing errors: their median, and how many bends were not found."""
    known = [error for error in errors if error is not None]
    if not known:
        return f"none of {len(errors)} found" if errors else "none to bend"
    return f"{median(known):.1f}% ({len(errors) - len(known)} of {len(errors)} not found)"


def measure_grooves(folder: Path, clock: Callable[[], float]) -> None:
    """Print speed, fill finding, tempo with the tempo hidden, and swing by style, over a labelled folder.

    *clock* tells seconds.
    """
    start = clock()
    takes = read_takes(folder)
    read = clock()
    known = [know_groove(take.groove) for take in takes]
    done = clock()
    music = sum(take.duration_sec for take in takes)
    print(f"{len(takes)} files, {music:.0f} s of music")
    print(
        f"  read in {read - start:.1f} s, known in {done - read:.1f} s: {music / (done - start):,.0f} times real time"
    )
    for name, tuned in (("tuned on", True), ("not tuned on", False)):
        chosen = [(take, k) for take, k in zip(takes, known, strict=True) if take.is_tuning is tuned]
        half = [take for take, _ in chosen]
        print(f"{name} ({len(half)} files)")
        print(f"  clips, fill or beat     {score_kinds(half, [k for _, k in chosen])}")
        spliced = splice_fills(half)
        print(f"  fill bars in grooves    {score_splices(spliced)}")
        print(f"    short ones let be     {score_splices(spliced, short_too=False)}")
        for way in WAYS:
            print(f"  fills {way}")
            for bars, cut in splice_windows(half, way).items():
                print(
                    f"    {f'{bars} bars' if bars else 'whole takes':<20}  {score_splices(cut, short_too=False)}"
                )
        print(f"  swing bent, error       {_format_swing(swing_errors(chosen))}")
        print(f"  tempo hidden, beats     {score_tempos([take for take in half if not take.is_fill])}")
        print(f"  tempo hidden, fills     {score_tempos([take for take in half if take.is_fill])}")
    _by_style(takes, known)


def _by_style(takes: Sequence[Take], known: Sequence[Knowledge]) -> None:
    """Print, style by style over all files: kinds told right, tempo found, and the swing."""
    groups: dict[str, list[tuple[Take, Knowledge]]] = defaultdict(list)
    for take, k in zip(takes, known, strict=True):
        groups[take.family].append((take, k))
    print(
        "by style: files · clips told right · tempos found (beats, hidden) · swing of beats · error when bent"
    )
    for style, pairs in sorted(groups.items()):
        right = fmean((k.kind is ClipKind.FILL) == take.is_fill for take, k in pairs)
        beats = [(take, k) for take, k in pairs if not take.is_fill]
        tempo = f"{score_tempos([take for take, _ in beats]).exact:.0%}" if beats else "none"
        swing = f"{_ratios(k for _, k in beats)} · {_format_swing(swing_errors(beats))}"
        print(f"  {style:<15} {len(pairs):>3} · {right:>4.0%} · {tempo:>4} · {swing}")


def _ratios(known: Iterable[Knowledge]) -> str:
    ratios = sorted(k.feel.swing_ratio for k in known)
    return f"{ratios[0]:.2f} to {ratios[-1]:.2f}, median {median(ratios):.2f}" if ratios else "no beats"
