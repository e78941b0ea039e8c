"""Ways to play the same bars: each changes one thing of the main job's own way."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from handgroove.desk.desk import Desk
from handgroove.errors import Problem, WrongUseError
from handgroove.figures.plan import Choice
from handgroove.groove.hits import Groove
from handgroove.hands.ease import Ease
from handgroove.harmony.voice.voicing_settings import Idiom
from handgroove.patterns import Pattern, list_patterns, read_pattern, read_patterns

_USUAL_EASES = (Ease.EASIER, Ease.HARDER)
_EASES = {
    Ease.AS_IS: "as it is",
    Ease.WHOLE: "as it is",
    Ease.EASIER: "one step easier",
    Ease.HARDER: "one step harder",
    Ease.FULL: "as full as hands can",
}
_USUAL_IDIOMS = (Idiom.TRIADS, Idiom.ROOTLESS, Idiom.SHELLS, Idiom.OPEN_FIFTHS)
_USUAL_COUNT = 2  # of a kind that are tried where none are named
# Of the hits that the base gives to hands, another must take for a reading that nobody asked for
_TAKEN = 0.8
_AUDIBLE = 0.1  # of the notes must be others for a reading that nobody asked for


@dataclass(frozen=True, slots=True)
class Attempt:
    """One way to play: what the main job is given, and its *name*."""

    name: str
    pattern: Pattern
    ease: Ease = Ease.AS_IS
    figures: Mapping[str, int] = field(default_factory=dict)
    choice: Mapping[str, str] = field(default_factory=dict)

    def but(self, name: str, choice: Mapping[str, str], **change: object) -> Attempt:
        """Return this way with one thing changed: its *choice* in words, and what the main job is given."""
        return replace(self, name=name, choice={**self.choice, **choice}, **change)  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class WhatToTry:
    """What to try beside the way as it is; None = the usual, empty = none. *figures* are (bar, candidate from 1)."""

    eases: Sequence[Ease] | None = None
    patterns: Sequence[str] | None = None
    voicings: Sequence[Idiom] | None = None
    figures: Sequence[tuple[int, int]] | None = None


@dataclass(frozen=True, slots=True)
class AttemptKind:
    """Ways of one kind: how many new readings are wanted, how much must differ, and whether twins are told."""

    ways: Iterable[Attempt]
    most: int
    least_difference: float
    asked: bool


def find_ways(base: Attempt, desk: Desk, wishes: WhatToTry, span: tuple[int, int]) -> Iterator[AttemptKind]:
    """Yield the kinds of ways to try beside *base*, which is what *desk* plays."""
    # A level is what one wants to hear even if it is near; a figure's bar is little, and what is listened for.
    yield replace(_kind(wishes.eases, _ease_ways(base, wishes.eases)), least_difference=0.0)
    yield _kind(wishes.patterns, _pattern_ways(base, desk.known.groove, wishes.patterns))
    yield _kind(wishes.voicings, _voicing_ways(base, wishes.voicings))
    figures = _kind(wishes.figures, _figure_ways(base, desk, wishes.figures, span))
    yield replace(figures, least_difference=0.0)


def _kind(wish: Sequence[object] | None, ways: Iterable[Attempt]) -> AttemptKind:
    asked = wish is not None
    return AttemptKind(ways, 99 if asked else _USUAL_COUNT, 0.0 if asked else _AUDIBLE, asked)


def _ease_ways(base: Attempt, eases: Sequence[Ease] | None) -> Iterator[Attempt]:
    for ease in _USUAL_EASES if eases is None else eases:
        if ease is not base.ease:
            name = _EASES.get(ease, f"the {ease.value}, no more")
            yield base.but(name, {"level": ease.value}, ease=ease)


def _pattern_ways(base: Attempt, groove: Groove, names: Sequence[str] | None) -> Iterator[Attempt]:
    others = suitable_patterns(groove, base.pattern) if names is None else map(read_pattern, names)
    for other in others:
        yield base.but(f"hands of {other.title.lower()}", {"pattern": called(other)}, pattern=other)


def _voicing_ways(base: Attempt, idioms: Sequence[Idiom] | None) -> Iterator[Attempt]:
    for idiom in _USUAL_IDIOMS if idioms is None else idioms:
        pattern = replace(base.pattern, harmony=replace(base.pattern.harmony, idiom=idiom))
        yield base.but(f"chords as {idiom.value}", {"voicing": idiom.value}, pattern=pattern)


def _figure_ways(
    base: Attempt, desk: Desk, wanted: Sequence[tuple[int, int]] | None, span: tuple[int, int]
) -> Iterator[Attempt]:
    """Yield the other candidates of the first figure in *span*, or those that are *wanted*."""
    choices = find_choices(desk, span) if wanted is None or wanted else []
    by_bar = {choice.bar: choice for choice in choices}
    if wanted is None:
        first = choices[:1]
        wanted = [
            (choice.bar, 1 + k)
            for choice in first
            for k in range(len(choice.candidates))
            if k != choice.chosen
        ]
    problems = [
        Problem(
            "--try-figure",
            f"expected a figure and one of its candidates, got {bar}:{number}{_known(choices)}",
        )
        for bar, number in wanted
        if bar not in by_bar or not 1 <= number <= len(by_bar[bar].candidates)
    ]
    if problems:
        raise WrongUseError(problems)
    for bar, number in wanted:
        choice = by_bar[bar]
        name = f"bar {bar}, {choice.what}, candidate {number}: {choice.candidates[number - 1].name}"
        yield base.but(name, {f"bar {bar}": str(number)}, figures={**base.figures, f"bar {bar}": number})


def find_choices(desk: Desk, span: tuple[int, int]) -> list[Choice]:
    """Return where figures begin in *span* and what they can be, as the main job weighs them."""
    start = desk.reading.groove.timeline.bar_start
    return [choice for choice in desk.figures.choices if span[0] <= start(choice.bar) < span[1]]


def _known(choices: Sequence[Choice]) -> str:
    listed = ", ".join(f"{choice.bar}:1 to {choice.bar}:{len(choice.candidates)}" for choice in choices)
    return f"; there are {listed}" if listed else "; no figure begins in these bars"


def suitable_patterns(groove: Groove, base: Pattern) -> list[Pattern]:
    """Return the library's other patterns for the groove's metre and feel, the nearest in tempo first.

    Of patterns that share out the drums alike only the nearest is kept.
    """
    metre = groove.timeline.metre_at(groove.timeline.first_tick)
    tempo = groove.timeline.tempo_at(0)
    swung = groove.feel.swing_ratio >= 1.2
    fitting = [
        pattern
        for pattern in read_patterns()
        if pattern.metre == metre
        and (pattern.feel.swing_ratio >= 1.2) == swung
        and pattern.name != base.name
        and _share_taken(pattern, groove) >= _TAKEN * _share_taken(base, groove)
    ]
    fitting.sort(key=lambda p: (abs(math.log(p.tempo_bpm / tempo)), p.name))
    kept: list[Pattern] = []
    shares: list[object] = [(base.assignments, base.harmony)]
    for pattern in fitting:
        share = pattern.assignments, pattern.harmony
        if share not in shares:
            shares.append(share)
            kept.append(pattern)
    return kept


def _share_taken(pattern: Pattern, groove: Groove) -> float:
    """Return the share (0 to 1) of the groove's hits that *pattern* gives to a hand."""
    taken = {piece for assignment in pattern.assignments for piece in assignment.pieces}
    return sum(hit.piece in taken for hit in groove.hits) / max(1, len(groove.hits))


def called(pattern: Pattern) -> str:
    """Return what to call *pattern* so that it is found again: its name, or the player's own file."""
    return pattern.name if pattern.name in list_patterns() else pattern.source or pattern.name
