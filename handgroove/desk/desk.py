"""The desk: all that is known of one song before and while hands play it, each thing found once.

Every stage is worked out when it is first asked for, and kept. `change` gives a desk on which one thing is otherwise:
what does not follow from it is taken over, not found again.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from handgroove.desk.finish import Song
from handgroove.desk.stops import find_silences, leave_stops
from handgroove.figures.as_heard import explain_heard
from handgroove.figures.figure_settings import DEFAULT_SETTINGS, FigureSettings
from handgroove.figures.plan import Figures, Places, choose_figures, find_places, find_stretches
from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.groove.know.drumming import Drumming, find_drumming
from handgroove.groove.know.feel import HEARD_RATIO
from handgroove.groove.know.find_fills import FoundFill
from handgroove.groove.know.knowledge import Knowledge, know_groove
from handgroove.groove.know.selection import Selection, find_selected
from handgroove.groove.meant.gestures import GestureKind
from handgroove.groove.meant.reading import Reading
from handgroove.groove.suggest.lay_cells import LaidCells, gather, lay_cells
from handgroove.hands.ease import BY_STEP, FULL, WHOLE, Ease, Stepped, find_hits, find_steps
from handgroove.hands.fuller import find_chatter, find_octaves
from handgroove.hands.player import Player
from handgroove.hands.settle import Settled
from handgroove.hands.within import settle_over, settle_within
from handgroove.harmony.chart import Chart, Harmony, lay_chart
from handgroove.harmony.chord import Key
from handgroove.harmony.voice.low_notes import plan_low
from handgroove.harmony.voice.voicing_settings import HarmonySettings
from handgroove.harmony.voice.voicings import plan_voicings
from handgroove.host.chain import Chain
from handgroove.host.figure_runs import Coming, find_owned, find_runs
from handgroove.host.links import Link, Own, find_celled, make_links, make_own
from handgroove.host.planned import PlannedPlacing
from handgroove.part import Change, Omission, Part
from handgroove.patterns import Pattern, read_pattern
from handgroove.strike import Asked, Hand
from handgroove.timeline import TICKS_PER_QUARTER

PLAIN_PATTERN = "straight-eighths"
USUAL = {Drumming.SWING: "swing-ride", Drumming.SHUFFLE: "shuffle", Drumming.ONE_DROP: "one-drop"}
STRAY = "the take ends here: it leads into a bar that is not played"
COUNTED_IN = "the count-in is not played"
Chords = tuple[tuple[tuple[int, ...], ...], tuple[int, ...]]


@dataclass(frozen=True, slots=True)
class Struck:
    """What translators *asked* for a groove's hits, *omissions* of those that got nothing, plugins' *messages*.

    The hits *taken_over* belong to figures, and no translator got them.
    """

    asked: tuple[Asked, ...]
    omissions: tuple[Omission, ...]
    messages: tuple[str, ...]
    taken_over: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Desk:
    """One song on the desk. The fields are what a musician says; the properties are what follows.

    Without a *chart* one chord holds throughout (*key*'s own, or C major's). *pattern* None is the usual one for the
    groove's feel. *figures_wanted* says how fills and drums alone become melody (None = they stay drums), *picks* which
    candidate each takes. *keep* and *leave_out* are selections of hits that must sound, or must not. Raise
    HandgrooveError where the pattern's translators are unknown or wrong.
    """

    groove: Groove
    chart: Chart | None = None
    named_pattern: Pattern | None = None
    player: Player = field(default_factory=Player)
    key: Key | None = None
    ease: Ease = Ease.AS_IS
    keep: Sequence[Selection] = ()
    leave_out: Sequence[Selection] = ()
    figures_wanted: FigureSettings | None = DEFAULT_SETTINGS
    picks: Mapping[str, int] = field(default_factory=dict)

    def change(self, **changes: Any) -> Desk:
        """Return a desk with *changes*, on which everything that does not follow from them is already found."""
        changes = {name: value for name, value in changes.items() if getattr(self, name) != value}
        other = replace(self, **changes)
        for stage, needs in _FOLLOWS_FROM.items():
            if stage in self.__dict__ and not needs & changes.keys():
                other.__dict__[stage] = self.__dict__[stage]
        return other

    @cached_property
    def known(self) -> Knowledge:
        """Return all that is known of the groove, its reading first of all."""
        return know_groove(self.groove, chart_bars=len(self.chart.bars) if self.chart else 0)

    @property
    def reading(self) -> Reading:
        """Return what the groove's strokes mean."""
        return self.known.reading

    @cached_property
    def pattern(self) -> Pattern:
        """Return the pattern that is played."""
        return self.named_pattern or usual_pattern(self.known)

    @cached_property
    def harmony(self) -> Harmony:
        """Return the chart, laid over the groove's bars."""
        return lay_chart(self.chart, self.reading.groove.timeline, self.key)

    @cached_property
    def chords(self) -> Chords:
        """Return the right hand's voicing and the left hand's low note for each of the harmony's spans."""
        return plan_chords(self.harmony, self.pattern.harmony)

    @cached_property
    def links(self) -> tuple[Link, ...]:
        """Return the pattern's translators."""
        return make_links(self.pattern.assignments)

    @cached_property
    def own(self) -> Own:
        """Return who strikes what is the hands' own: a chart's stops and pushes, and the pattern's low line."""
        return make_own(self.pattern.assignments)

    @cached_property
    def places(self) -> Places:
        """Return where figures go, each with what may be played there."""
        if self.figures_wanted is None:
            return Places(self.reading)
        voicings, lows = self.chords
        owned = find_owned(self.links, self.reading.groove.hits)
        return find_places(self.known, self.harmony, voicings, self.figures_wanted, lows=lows, owned=owned)

    @cached_property
    def figures(self) -> Figures:
        """Return what fills and drums alone become."""
        return Figures() if self.figures_wanted is None else choose_figures(self.places, self.picks)

    @cached_property
    def cells(self) -> LaidCells | None:
        """Return the cells that the groove suggests to the comping (None = it answers stroke by stroke)."""
        sections = [marker.tick for marker in self.harmony.sections or self.groove.markers]
        return find_cells(self.known, self.links, sections, self.figures)

    @cached_property
    def struck(self) -> Struck:
        """Return what the pattern's translators ask for the groove's hits."""
        taken_over = self.figures.hits
        placing = PlannedPlacing(self.harmony, *self.chords)
        known = self.known
        chain = Chain(
            self.links,
            placing,
            known.levels,
            known.groove.timeline,
            own=self.own,
            cells=self.cells,
            importance=known.importance,
        )
        busy = {item.meant for item in self.figures.asked if item.strike.hand is Hand.LEFT}
        return ask(chain, self.reading, taken_over, self.known.fills, busy)

    @cached_property
    def _whole(self) -> tuple[list[Asked], list[Omission]]:
        """Return all that both hands are asked as it is, and a line for what is silent at a stop."""
        struck, silenced = leave_stops(self.struck.asked, self.harmony, self.reading)
        sung, unsung = leave_stops(self.figures.asked, self.harmony, self.reading, figures=True)
        return [*struck, *sung], [*silenced, *unsung]

    @cached_property
    def _stepped(self) -> Stepped:
        """Return at which step each strike of that comes in."""
        changes = [span.start_tick for span in self.harmony.spans[1:]]
        whole, timeline = self._whole[0], self.reading.groove.timeline
        return Stepped(whole, find_steps(whole, self.known.importance, timeline, changes))

    @property
    def _step(self) -> int:
        return self.ease.step if self.ease.step >= WHOLE else self._stepped.step_of(self.ease)

    @cached_property
    def asked(self) -> tuple[list[Asked], list[Omission]]:
        """Return all that both hands are asked, as easy or hard as wanted, and what was left out for that."""
        whole, step = self._whole[0], self._step
        silenced = self._whole[1]
        if step < WHOLE:
            asked, omissions = self._stepped.thin(step, self.reading.groove.timeline)
            return asked, [*silenced, *omissions]
        if step == WHOLE:
            return whole, silenced
        placing = PlannedPlacing(self.harmony, *self.chords)
        lines = self.struck.omissions
        chatter = find_chatter(whole, lines, self.reading, self.known.importance, placing)
        return [*whole, *find_octaves(whole), *chatter], silenced

    @cached_property
    def song(self) -> Song:
        """Return what the part is finished from."""
        return Song(
            self.reading, self.harmony, self.player, find_silences(self.harmony, self.reading.played_at)
        )

    @cached_property
    def _selected(self) -> tuple[list[int], list[int], tuple[str, ...]]:
        """Return the hits to keep and to leave out, and messages about selections that mean none."""
        kept, unmet = find_selected(self.keep, self.reading, self.known.levels)
        unwanted, unmet_too = find_selected(self.leave_out, self.reading, self.known.levels)
        return kept, unwanted, (*unmet, *unmet_too)

    @cached_property
    def settled(self) -> Settled:
        """Return what two hands can play of all that: of a lower step what a higher one has, of the highest all."""
        step = self._step
        if step == WHOLE:
            return self._settle(self.asked[0])
        if step < WHOLE:
            return settle_within(self._settle, self.asked[0], self.change(ease=BY_STEP[step]).settled)
        whole = self._whole[0]
        added = self.asked[0][len(whole) :]
        return settle_over(self._settle, whole, added, self.change(ease=Ease.AS_IS).settled)

    def _settle(self, asked: Sequence[Asked]) -> Settled:
        kept, unwanted, _ = self._selected
        return self.song.settle(asked, keep=kept, leave_out=unwanted)

    @cached_property
    def part(self) -> Part:
        """Return the piano part."""
        settled = self.settled
        asked, thinned = self.asked
        answered = find_hits(asked) if self.ease.step == FULL else frozenset[int]()  # what chatter takes up
        unanswered = [
            line for line in self.struck.omissions if not (line.hits and answered.issuperset(line.hits))
        ]
        unasked = (*unanswered, *self.figures.omissions, *thinned)
        return self.song.finish(
            settled.notes,
            (*_refuse(unasked, self._selected[0]), *settled.omissions),
            title=(self.chart.title if self.chart else "") or self.groove.title,
            pedal=self.pattern.harmony.pedal,
            sections=self.harmony.sections or self.groove.markers,
            messages=(
                *self.harmony.messages,
                *self.known.doubts,
                *self.figures.messages,
                *self._selected[2],
                *tell_strangers(self.groove),
                *self.struck.messages,
            ),
            pattern_name=self.pattern.name,
            figures=explain_heard(self.figures, settled.notes),
        )


# What each stage is found from, stage by stage; of it follows from which fields each follows in the end.
_FOUND_FROM: Mapping[str, tuple[str, ...]] = {
    "known": ("groove", "chart"),
    "pattern": ("named_pattern", "known"),
    "harmony": ("chart", "key", "known"),
    "chords": ("harmony", "pattern"),
    "links": ("pattern",),
    "own": ("pattern",),
    "places": ("known", "harmony", "chords", "links", "figures_wanted"),
    "figures": ("places", "picks"),
    "cells": ("known", "links", "harmony", "figures", "groove"),
    "struck": ("figures", "harmony", "chords", "known", "links", "own", "cells"),
    "_whole": ("struck", "figures", "harmony", "known"),
    "_stepped": ("_whole", "harmony", "known"),
    "asked": ("_stepped", "chords", "ease"),
    "song": ("known", "harmony", "player"),
    "_selected": ("keep", "leave_out", "known"),
    "settled": ("song", "asked", "_selected"),
    "part": ("settled", "struck", "figures", "asked", "song", "pattern"),
}


def _fields_behind(stage: str) -> frozenset[str]:
    return frozenset(
        name
        for need in _FOUND_FROM[stage]
        for name in (_fields_behind(need) if need in _FOUND_FROM else {need})
    )


_FOLLOWS_FROM = {stage: _fields_behind(stage) for stage in _FOUND_FROM}


def _refuse(omissions: Sequence[Omission], keep: Collection[int]) -> Iterator[Omission]:
    """Yield *omissions* of what no hand was asked, each with a refusal where the user wanted to *keep* the hit."""
    for line in omissions:
        yield line
        if line.change is Change.LEFT_OUT and not set(keep).isdisjoint(line.hits):
            yield replace(line, change=Change.REFUSED, reason=f"you asked to keep it, but {line.reason}")


def usual_pattern(known: Knowledge | None) -> Pattern:
    """Return the pattern that a groove gets where none is named."""
    if known is None:
        return read_pattern(PLAIN_PATTERN)
    feel = known.groove.feel
    swings = feel.swing_ratio > HEARD_RATIO and feel.swing_unit_ticks == TICKS_PER_QUARTER // 2
    fills = set(known.fill_bars)
    groove = [part for part in known.bars if part.bar.number not in fills] or known.bars
    drumming = find_drumming(groove, swings_eighths=swings)
    in_three = drumming is Drumming.SWING and known.metre.beats == 3
    return read_pattern("jazz-waltz" if in_three else USUAL.get(drumming, PLAIN_PATTERN))


def plan_chords(harmony: Harmony, settings: HarmonySettings) -> Chords:
    """Return the right hand's voicing and the left hand's low note for each of the harmony's spans."""
    lows = plan_low(harmony, settings)
    return tuple(plan_voicings(harmony, settings, lows=lows)), tuple(lows)


def find_cells(
    known: Knowledge, links: Sequence[Link], sections: Sequence[int] = (), figures: Figures | None = None
) -> LaidCells | None:
    """Return the cells of the groove that is *known* for the comping among *links* (None = it goes without).

    *sections* are the written ticks at which one begins; where *figures* are the hand has its own to do.
    """
    link = find_celled(links)
    if link is None or link.cell is None:
        return None
    figures = figures or Figures()
    struck = gather(known.bars, known.levels, figures.hits | known.reading.graces | known.reading.strays)
    return lay_cells(
        known.bars,
        struck,
        known.backbone.letters,
        known.tempo_bpm,
        link.cell,
        link.pieces,
        sections=sections,
        busy=find_stretches(item.meant for item in figures.asked),
    )


def ask(
    chain: Chain,
    reading: Reading,
    taken_over: Collection[int] = (),
    fills: Sequence[FoundFill] = (),
    busy: Collection[int] = (),
) -> Struck:
    """Return all that *chain*'s translators ask for the hits of *reading*, and a line for every hit that gets nothing.

    The hits *taken_over* (indices) belong to figures, and no translator gets them. Grace strokes go with their main
    one; a figure translator gets every stroke, and each of the *fills* that were found whole. Figures have the left
    hand at the places that are *busy*.
    """
    hits, places, start = reading.groove.hits, reading.places, reading.groove.timeline.lead_ticks
    owned = find_owned(chain.links, hits)
    runs = find_runs(owned, reading, fills, taken_over)
    asked: list[Asked] = []
    unanswered: list[Omission] = []
    gesture_of, strays, kick, single = reading.gesture_of, reading.strays, Piece.KICK, GestureKind.SINGLE
    # Of strokes that are meant together the kick comes first: where it pushes, the others go with it.
    own = _OwnStrokes(chain, reading, taken_over, busy)
    for index in sorted(range(len(hits)), key=lambda i: (places[i], hits[i].piece is not kick)):
        hit = hits[index]
        asked.extend(own.until(places[index]))
        if index in runs:
            chain.prepare([Coming(hits[number], places[number], number) for number in runs[index]])
        gesture = None if index in owned else gesture_of.get(index)
        if index in taken_over:
            chain.pass_by(places[index])
            continue
        beside = COUNTED_IN if places[index] < start else STRAY if index in strays else ""
        if beside:
            unanswered.append(
                Omission(places[index], Change.LEFT_OUT, hit.piece.value, beside, hits=(index,))
            )
            continue
        kind: GestureKind = single
        graces: list[tuple[int, Hit]] = []
        numbers: tuple[int, ...] = (index,)
        if gesture:
            if index != gesture.main:
                if gesture.main in taken_over:
                    reason = "a grace note of a stroke that belongs to a figure"
                    unanswered.append(
                        Omission(places[index], Change.LEFT_OUT, hit.piece.value, reason, hits=numbers)
                    )
                continue
            kind, numbers = gesture.kind, (index, *gesture.graces)
            graces = [(number, hits[number]) for number in gesture.graces if number not in taken_over]
        taken = chain.take(index, hit, places[index], kind, graces)
        asked.extend(taken.asked)
        if taken.joins:
            _join((index, *(number for number, _ in graces)), places[index], asked)
        if taken.reason:
            change = Change.THINNED if taken.is_thinned else Change.LEFT_OUT
            unanswered.append(Omission(places[index], change, hit.piece.value, taken.reason, hits=numbers))
    asked.extend(own.until(reading.groove.timeline.end_tick))
    return Struck(tuple(asked), tuple(unanswered), tuple(chain.messages), frozenset(taken_over))


class _OwnStrokes:
    """Asks *chain* for the hands' own strokes, place by place, where the hits of *reading* have not brought them."""

    def __init__(
        self, chain: Chain, reading: Reading, taken_over: Collection[int], busy: Collection[int]
    ) -> None:
        self._chain, self._reading, self._taken_over, self._busy = chain, reading, taken_over, busy
        self._next = reading.groove.timeline.bar_at(min(reading.places, default=0)).start_tick
        self._last = max(reading.places, default=0)

    def until(self, place: int) -> Iterator[Asked]:
        """Yield what hands strike of their own before the written tick *place*."""
        while self._next < place:
            at = self._next
            self._next = self._chain.next_own(at)
            taken_over = [index for index in self._reading.hits_at(at) if index in self._taken_over]
            ticks = [self._reading.groove.hits[index].tick for index in taken_over]
            tick = min(ticks, default=self._reading.played_at(at))
            goes_on = at not in self._busy and at < self._last
            for item in self._chain.own(at, tick, with_line=goes_on).asked:
                # A stop stands for what a figure had there; the line stands for no stroke of the drummer.
                is_stop = self._chain.placing.at(at).is_stop
                yield replace(item, hits=tuple(taken_over)) if is_stop else item


def _join(numbers: Sequence[int], place: int, asked: list[Asked]) -> None:
    """Give the hits of these *numbers* to what was *asked* last at their *place*, in which they are."""
    for at in range(len(asked) - 1, -1, -1):
        if asked[at].meant != place:
            return
        asked[at] = replace(asked[at], hits=tuple(sorted({*asked[at].hits, *numbers})))


def tell_strangers(groove: Groove) -> list[str]:
    """Return a sentence for each note number that the kit does not know."""
    return [
        f"note {number} is not in the kit: {count} hit{'s' if count > 1 else ''} left out (describe yours with --kit)"
        for number, count in groove.unknown.items()
    ]
