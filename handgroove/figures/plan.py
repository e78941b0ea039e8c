"""Planning figures for a whole song: every fill and every stretch of drums alone, with the choices that are fixed."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, partial

from handgroove.figures.candidate import Candidate
from handgroove.figures.context import Song
from handgroove.figures.figure_settings import DEFAULT_SETTINGS, FigureSettings
from handgroove.figures.fill import fill_candidates
from handgroove.figures.hook import Bars, hook_candidates
from handgroove.groove.know.find_fills import FoundFill
from handgroove.groove.know.knowledge import Knowledge
from handgroove.groove.meant.reading import Reading
from handgroove.harmony.chart import Cue, Harmony
from handgroove.part import Change, Omission
from handgroove.strike import Asked, Hand

MOST_FILLED = 0.4  # of the bars: where more look like fills, the drummer plays freely and none is one


Find = Callable[[FigureSettings], list[Candidate]]


@dataclass(frozen=True)
class Choice:
    """One place where figures were weighed: its first *bar*, *what* it is, and the *candidate* that was *chosen*.

    *chosen* counts from 0. The other candidates are only looked for when they are asked for.
    """

    bar: int
    what: str
    candidate: Candidate
    chosen: int
    find_all: Callable[[], list[Candidate]] = field(compare=False, repr=False)

    @cached_property
    def candidates(self) -> tuple[Candidate, ...]:
        """Return all that may be chosen, best first."""
        return tuple(self.find_all())

    def explain(self) -> str:
        """Return what is played and why, in a sentence."""
        figure = self.candidate
        return (
            f"bar {self.bar}, {self.what}: {figure.name} "
            f"({'picked' if self.chosen else 'best'}, {figure.score:.0f} of 100): {'; '.join(figure.reasons)}"
        )


@dataclass(frozen=True)
class Figures:
    """All figures of a song.

    *asked* are their strikes; *hits* the indices of the hits that they replace, which the chain leaves alone;
    *omissions* tell of the hits among them that no note stands for.
    """

    asked: tuple[Asked, ...] = ()
    hits: frozenset[int] = frozenset()
    choices: tuple[Choice, ...] = ()
    omissions: tuple[Omission, ...] = ()
    messages: tuple[str, ...] = field(default=())

    @property
    def explanations(self) -> tuple[str, ...]:
        """Return a sentence for each figure: what is played, and why."""
        return tuple(choice.explain() for choice in self.choices)


def plan_figures(
    knowledge: Knowledge,
    harmony: Harmony,
    voicings: Sequence[tuple[int, ...]] = (),
    settings: FigureSettings = DEFAULT_SETTINGS,
    picks: Mapping[str, int] | None = None,
    *,
    lows: Sequence[int] = (),
    tune: Sequence[tuple[int, int]] = (),
    owned: Collection[int] = (),
) -> Figures:
    """Plan the figures of a groove: for its fills, and hooks where the drums play alone.

    *voicings* and *lows* stand beside ``harmony.spans``; *tune* are the (written tick, pitch) of a melody's notes, to
    which figures lead. *picks* fix choices: the candidate (from 1) by the bar that a figure begins in, as ``bar 8``
    (see handgroove.picks). *owned* are the hits (indices) that the pattern gives to a figure translator: the fills that
    they are in are left to that.
    """
    song = Song(knowledge.reading, knowledge.levels, harmony, voicings, lows, tune)
    stretches = _drum_only(knowledge, harmony)
    alone = [bars for bars in stretches if bars.count > 1]
    choices: list[Choice] = []
    messages: list[str] = [
        f"bar {knowledge.bars[bars.first].bar.number} is drums alone: one bar is too short for a hook, "
        "and the hands play it like the bars around it"
        for bars in stretches
        if bars.count == 1
    ]
    picked = dict(picks or {})
    for bars in alone:
        number = knowledge.bars[bars.first].bar.number
        find: Find = partial(hook_candidates, song, knowledge, bars)
        _settle(choices, messages, number, "drums alone", find, settings, picked)
    fills, told = _worthy(knowledge)
    messages += told
    for fill in fills:
        if not _holds_melody(fill, tune) and not any(index in owned for index in fill.hits):
            find = partial(fill_candidates, song, fill.hits, fill.landing_tick)
            _settle(choices, messages, fill.bar_numbers[0], "fill", find, settings, picked)
    choices.sort(key=lambda choice: choice.bar)
    begun = {f"bar {choice.bar}" for choice in choices}
    messages += [
        f"{bar}: a figure was picked, but no fill or drum-only stretch begins there"
        for bar in picked
        if bar not in begun
    ]
    asked = [item for choice in choices for item in choice.candidate.asked]
    hits = frozenset(index for choice in choices for index in choice.candidate.hits)
    return Figures(
        tuple(sorted(asked, key=lambda item: item.tick)),
        hits,
        tuple(choices),
        tuple(_omissions(knowledge.reading, choices)),
        tuple(messages),
    )


def _settle(
    choices: list[Choice],
    messages: list[str],
    bar: int,
    what: str,
    find: Find,
    settings: FigureSettings,
    picks: Mapping[str, int],
) -> None:
    """Add the choice of one place to *choices*; for the best one no others are looked for."""
    number = picks.get(f"bar {bar}", 1)
    found = find(settings if number > 1 else replace(settings, candidates=1))
    if not found:
        return
    if number > len(found):
        messages.append(
            f"bar {bar}: candidate {number} was picked, but there are {len(found)}; the best is played"
        )
        number = 1
    choices.append(Choice(bar, what, found[number - 1], number - 1, partial(find, settings)))


def _worthy(knowledge: Knowledge) -> tuple[tuple[FoundFill, ...], list[str]]:
    """Return the fills to make figures of: none where a drummer plays so freely that many bars look like one."""
    struck = sum(bool(part.hits) for part in knowledge.bars)
    filled = len(knowledge.fill_bars)
    if filled <= MOST_FILLED * struck or len(knowledge.fills) == 1:
        return knowledge.fills, []
    message = f"{filled} of {struck} bars leave the groove, so they are played as groove: no fill stands out"
    return (), [message]


def _holds_melody(fill: FoundFill, tune: Sequence[tuple[int, int]]) -> bool:
    """Return whether the tune sings during the fill: then the fill stays drums."""
    return any(fill.start_tick <= tick < fill.landing_tick - 240 for tick, _ in tune)


def _drum_only(knowledge: Knowledge, harmony: Harmony) -> list[Bars]:
    """Return the stretches of drums alone, as the band or the chart has them, but for the fills that end them."""
    alone = {number for stretch in knowledge.drum_only for number in range(stretch.first, stretch.last + 1)}
    alone |= {
        part.bar.number
        for part in knowledge.bars
        if harmony.at(part.bar.start_tick).cue is Cue.DRUMS_ONLY and part.hits
    }
    start = knowledge.count_in.start_tick if knowledge.count_in else 0
    filled = set(knowledge.fill_bars)
    kept = [
        index
        for index, part in enumerate(knowledge.bars)
        if part.bar.number in alone and part.bar.number not in filled and part.bar.start_tick >= start
    ]
    stretches: list[Bars] = []
    for index in kept:
        if stretches and stretches[-1].last == index - 1:
            stretches[-1] = Bars(stretches[-1].first, index)
        else:
            stretches.append(Bars(index, index))
    return stretches


def _omissions(reading: Reading, choices: Sequence[Choice]) -> list[Omission]:
    """Return a line for each hit that a figure replaces without a note that stands for it."""
    found = []
    for choice in choices:
        sung = {index for item in choice.candidate.asked for index in item.hits}
        for index in choice.candidate.hits:
            if index not in sung:
                hit = reading.groove.hits[index]
                reason = f"the right hand plays the figure ({choice.what})"
                found.append(
                    Omission(
                        reading.places[index], Change.LEFT_OUT, hit.piece.value, reason, Hand.RIGHT, (index,)
                    )
                )
    return found
