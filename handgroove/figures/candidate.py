"""Candidates: the best figures for a fill that differ from one another, each with its score explained."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp

from handgroove.figures.figure_costs import (
    MOTION_BETWEEN,
    OFF_MOTIVE,
    ON_MOTIVE,
    Term,
    landing_step_cost,
    leap_cost,
    motion_cost,
    move_class,
    repeat_cost,
)
from handgroove.figures.figure_reasons import give_reasons
from handgroove.figures.figure_search import (
    Path,
    edge_costs,
    find_best,
    find_paths,
    motive_moves,
    steps_between,
)
from handgroove.figures.frame import Frame
from handgroove.strike import Asked

ALIKE = 0.6  # lines that share more of their pitches than this are one figure to the ear ...
MOTIVE_LIMIT = 0.75  # ... but for two motives, which are told apart by less


@dataclass(frozen=True)
class Candidate:
    """One figure for a fill: its line, what it is made of and why it is good.

    *score* runs from 0 to 100. *terms* are costs by term (lower is better; below 0 is a merit). *asked* are the
    strikes, the landing's among them.
    """

    name: str
    pitches: tuple[int, ...]
    landing: int | None
    score: float
    terms: dict[Term, float]
    reasons: tuple[str, ...]
    asked: tuple[Asked, ...] = ()
    hits: tuple[int, ...] = ()


def find_candidates(frame: Frame, count: int = 5) -> list[Candidate]:
    """Find the *count* best figures for *frame* that differ from one another, best first."""
    paths = [find_best(frame)] if count == 1 else choose_different(find_paths(frame), count)
    return [make_candidate(frame, path) for path in paths]


def choose_different(paths: Sequence[Path], count: int) -> list[Path]:
    """Choose the best of *paths* (best first) that differ: by most of their pitches, or by motive and many of them."""
    chosen: list[Path] = []
    for path in paths:
        if len(chosen) == count:
            break
        if all(_share_alike(path, other) <= _limit(path, other) for other in chosen):
            chosen.append(path)
    for path in paths:  # a fill of few notes has few lines: then any other line will do
        if len(chosen) >= count:
            break
        if path not in chosen and all(path.pitches != other.pitches for other in chosen):
            chosen.append(path)
    return sorted(chosen, key=lambda path: (path.cost, path.pitches))


def _limit(path: Path, other: Path) -> float:
    differ = path.motive is not other.motive and path.motive.moves and other.motive.moves
    return MOTIVE_LIMIT if differ else ALIKE


def _share_alike(path: Path, other: Path) -> float:
    same = sum(a == b for a, b in zip(path.pitches, other.pitches, strict=True))
    return same / max(1, len(path.pitches))


def make_candidate(frame: Frame, path: Path) -> Candidate:
    """Make the candidate of one path, its cost taken apart into terms."""
    terms = weigh_terms(frame, path)
    cost = sum(terms.values()) / max(1, len(path.pitches))
    score = round(100 * exp(-max(0.0, cost + 0.2)), 1)
    name = path.motive.name or "a free line"
    return Candidate(name, path.pitches, path.landing, score, terms, give_reasons(frame, path))


def weigh_terms(frame: Frame, path: Path) -> dict[Term, float]:
    """Return what each term costs along *path*; together they are what the search added up."""
    pitches, landing = path.pitches, path.landing
    terms = dict.fromkeys(Term, 0.0)
    for index, pitch in enumerate(pitches):
        terms[Term.CHORD_TONES] += frame.chord_cost(index, pitch)
        terms[Term.RANGE] += frame.range_cost(pitch)
        if landing is not None:
            terms[Term.CONTOUR] += frame.contour_cost(index, pitch, landing)
    moves = motive_moves(frame, path.motive)
    for index in range(1, len(pitches)):
        size = pitches[index] - pitches[index - 1]
        motion = motion_cost(size) * (MOTION_BETWEEN if frame.onsets[index].new_group else 1.0)
        terms[Term.MOTION] += motion
        terms[Term.SPEED] += edge_costs(frame, index, abs(size))[-1] - motion
        if moves[index] is not None:
            steps = steps_between(frame.ladders[index], pitches[index - 1], pitches[index])
            terms[Term.MOTIVE] += ON_MOTIVE if steps == moves[index] else OFF_MOTIVE
        if index > 1:
            before = move_class(pitches[index - 1] - pitches[index - 2])
            terms[Term.LEAPS] += leap_cost(before, size)
            terms[Term.REPEATS] += repeat_cost(before, size)
    if landing is not None:
        terms[Term.LANDING] = landing_step_cost(landing - pitches[-1]) + frame.landing_cost(landing)
    return {term: round(cost, 3) for term, cost in terms.items()}
