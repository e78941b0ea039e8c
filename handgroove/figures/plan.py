"""Planning figures for a whole song: every fill and every stretch of drums alone, with the choices that are fixed."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, partial

from handgroove.figures.alone import Bars
from handgroove.figures.candidate import Candidate
from handgroove.figures.context import Surroundings
from handgroove.figures.figure_settings import DEFAULT_SETTINGS, FigureSettings
from handgroove.figures.fill import fill_candidates
from handgroove.figures.hook import hook_candidates
from handgroove.groove.know.find_fills import FoundFill
from handgroove.groove.know.knowledge import Knowledge
from handgroove.groove.meant.reading import Reading
from handgroove.harmony.chart import Cue, Harmony
from handgroove.part import Change, Omission
from handgroove.strike import Asked, Hand

MOST_FILLED = 0.4  # of the bars: where more look like fills, the drummer plays freely and none is one
APART_TICKS = (
    3840  # strokes of figures no farther apart are one stretch: the hand rests in it, it does not comp
)


Find = Callable[[FigureSettings], list[Candidate]]


@dataclass(frozen=True)
class Place:
    """One place for a figure: the *bar* that it begins in and *what* it is; what may be played is found when asked."""

    bar: int
    what: str
    find: Find = field(compare=False, repr=False)
    settings: FigureSettings

    @cached_property
    def best(self) -> Candidate | None:
        """Return the best figure without looking for others; None where nothing is sung."""
        return next(iter(self.find(replace(self.settings, candidates=1))), None)

    @cached_property
    def candidates(self) -> tuple[Candidate, ...]:
        """Return all that may be chosen, best first."""
        return tuple(self.find(self.settings))


@dataclass(frozen=True)
class Places:
    """All places for figures in a song, its *reading*, and *messages* about places that get none."""

    reading: Reading
    places: tuple[Place, ...] = ()
    messages: tuple[str, ...] = ()


@dataclass(frozen=True)
class Choice:
    """One place where figures were weighed: its first *bar*, *what* it is, and the *candidate* that was *chosen*.

    *chosen* counts from 0.
    """

    place: Place
    candidate: Candidate
    chosen: int

    @property
    def bar(self) -> int:
        """Return the number of the bar that the figure begins in."""
        return self.place.bar

    @property
    def what(self) -> str:
        """Return what the figure is for."""
        return self.place.what

    @property
    def candidates(self) -> tuple[Candidate, ...]:
        """Return all that may be chosen, best first; they are only looked for when they are asked for."""
        return self.place.candidates

    def explain(self) -> str:
        """Return what is played and why, in a sentence."""
        figure = self.candidate
        where = f"bar {self.bar}" if self.bar else "pickup"
        if not figure.score:
            return f"{where}, {self.what}: no figure sounds: {'; '.join(figure.reasons)}"
        return (
            f"{where}, {self.what}: {figure.name} "
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


def find_places(
    knowledge: Knowledge,
    harmony: Harmony,
    voicings: Sequence[tuple[int, ...]] = (),
    settings: FigureSettings = DEFAULT_SETTINGS,
    *,
    lows: Sequence[int] = (),
    tune: Sequence[tuple[int, int]] = (),
    owned: Collection[int] = (),
) -> Places:
    """Find where figures go: into fills, and as hooks where the drums play alone.

    *voicings* and *lows* stand beside ``harmony.spans``; *tune* are the (written tick, pitch) of a melody's notes, to
    which figures lead. *owned* are the hits (indices) that the pattern gives to a figure translator: the fills that
    they are in are left to that.
    """
    song = Surroundings(knowledge.reading, knowledge.levels, harmony, voicings, lows, tune)
    places: list[Place] = []
    messages: list[str] = []
    for bars in _drum_only(knowledge, harmony):
        number = knowledge.bars[bars.first].bar.number
        if bars.count > 1:
            hooks = partial(hook_candidates, song, knowledge, bars)
            places.append(Place(number, "drums alone", hooks, settings))
        else:
            messages.append(
                f"bar {number} is drums alone: one bar is too short for a hook, "
                "and the hands play it like the bars around it"
            )
    fills, told = _worthy(knowledge)
    for fill in fills:
        sung = any(fill.start_tick <= tick < fill.landing_tick - 240 for tick, _ in tune)
        if not sung and not any(index in owned for index in fill.hits):
            find = partial(fill_candidates, song, fill.hits, fill.landing_tick)
            places.append(Place(fill.bar_numbers[0], "fill", find, settings))
    places.sort(key=lambda place: place.bar)
    return Places(knowledge.reading, tuple(places), (*messages, *told))


def choose_figures(places: Places, picks: Mapping[str, int]) -> Figures:
    """Choose a figure for each of *places*: the best, or the candidate (from 1) that *picks* give to its ``bar 8``."""
    messages = list(places.messages)
    choices: list[Choice] = []
    for place in places.places:
        number = picks.get(f"bar {place.bar}", 1)
        if number > 1 and number > len(place.candidates) > 0:
            messages.append(
                f"bar {place.bar}: candidate {number} was picked, but there are {len(place.candidates)}; "
                "the best is played"
            )
            number = 1
        figure = place.best if number == 1 or not place.candidates else place.candidates[number - 1]
        if figure is not None:
            choices.append(Choice(place, figure, number - 1))
    begun = {f"bar {choice.bar}" for choice in choices}
    messages += [
        f"{bar}: a figure was picked, but no fill or drum-only stretch begins there"
        for bar in picks
        if bar not in begun
    ]
    asked = [item for choice in choices for item in choice.candidate.asked]
    hits = frozenset(index for choice in choices for index in choice.candidate.hits)
    return Figures(
        tuple(sorted(asked, key=lambda item: item.tick)),
        hits,
        tuple(choices),
        tuple(_omissions(places.reading, choices)),
        tuple(messages),
    )


def _worthy(knowledge: Knowledge) -> tuple[tuple[FoundFill, ...], list[str]]:
    """Return the fills to make figures of: none where a drummer plays so freely that many bars look like one."""
    struck = sum(bool(part.hits) for part in knowledge.bars)
    filled = len(knowledge.fill_bars)
    if filled <= MOST_FILLED * struck or len(knowledge.fills) == 1:
        return knowledge.fills, []
    message = f"{filled} of {struck} bars leave the groove, so they are played as groove: no fill stands out"
    return (), [message]


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


def find_stretches(places: Iterable[int]) -> list[tuple[int, int]]:
    """Return from where to where (first tick, tick after the last) figures struck at *places* go on."""
    stretches: list[tuple[int, int]] = []
    for place in sorted(places):
        if stretches and place - stretches[-1][1] <= APART_TICKS:
            stretches[-1] = (stretches[-1][0], place + 1)
        else:
            stretches.append((place, place + 1))
    return stretches
