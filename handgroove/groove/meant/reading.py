"""The one reading of a groove: for every hit its meant place and its gesture, found once and asked by everybody.

A raw tick is never asked what it means anywhere else. *Written* ticks are the page's: straight, and without anything
that is the player's. The drummer's common lean is taken off the hits before anything else looks at them, and put back
when the part is finished; what is left beside a written tick is microtiming.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from handgroove.groove.hits import Feel, Groove, Hit, Stroke
from handgroove.groove.kit import FAMILY_ORDER, Family
from handgroove.groove.meant.gestures import Gesture, find_gestures
from handgroove.groove.meant.lean import Lean, find_lean
from handgroove.groove.meant.quantise import quantise
from handgroove.groove.meant.swing import play, straighten, swings
from handgroove.metre import shift_ticks
from handgroove.timeline import Timeline

# What says most where the beat is (common practice, no source); louder strokes say more.
_SAYS = {Family.KICK: 1.5, Family.SNARE: 1.3}
SOFTEST_SAYS = 0.3
RUNNING_BEATS = 2  # to each side: the strokes that say how the drummer leans just now
FEWEST_NEAR = 3  # of them; fewer, and the common lean counts
LAST_STEP_TICKS = 240  # a stray stroke at the very end is written a sixteenth before it
FEWEST_FREE = 48  # strokes, that say whether there is a beat at all
FREE_BELOW = 3.5  # clarity; see Lean
FREE_STEP_TICKS = 120
UNSURE = "it is not sure where these strokes were meant: they fit the beat nearly as well a little earlier or later"
FREE = (
    "played freely (rubato): the strokes keep to no beat that the file's bars fit, so they are written as played, and "
    "chords change with the file's bar lines"
)
# What a last chord is struck with; a lone hat is the next bar's
FINAL = frozenset({Family.KICK, Family.CRASH})


@dataclass(frozen=True)
class Reading:
    """What the strokes of *groove* mean; the drummer's common lean of *lean_ticks* is taken off its hits.

    *places* are their meant places in written ticks, hit by hit. *gestures* are those of more than one stroke. *doubt*
    says in a sentence where the reading is not sure ("" = it is). *others* are the meant places of what a band's other
    players strike, by the tick at which they do. *strays* are hits at the very end that lead into a bar which is not
    there.
    """

    groove: Groove
    places: tuple[int, ...]
    gestures: tuple[Gesture, ...] = ()
    lean_ticks: int = 0
    doubt: str = ""
    others: Mapping[int, int] = field(default_factory=dict)
    strays: frozenset[int] = frozenset()

    @cached_property
    def gesture_of(self) -> dict[int, Gesture]:
        """Return the gesture that each stroke of one belongs to, by the hit's index (main strokes and graces)."""
        return {index: gesture for gesture in self.gestures for index in (gesture.main, *gesture.graces)}

    @cached_property
    def graces(self) -> frozenset[int]:
        """Return the indices of the strokes that belong to another one."""
        return frozenset(index for gesture in self.gestures for index in gesture.graces)

    @cached_property
    def _running(self) -> dict[int, int]:
        return {}  # what was asked for; the same places are asked for again and again

    @cached_property
    def _deviations(self) -> tuple[np.ndarray, np.ndarray]:
        """Return the written ticks of all main strokes in order, and how far behind them each was played."""
        own = [index for index in range(len(self.places)) if index not in self.graces]
        places = np.array([self.places[index] for index in own], dtype=np.int64)
        ticks = np.array([self.groove.hits[index].tick for index in own], dtype=np.int64)
        order = np.argsort(places, kind="stable")
        off = ticks - np.rint(self._swung(places)).astype(np.int64) if own else ticks
        return places[order], off[order]

    def _swung(self, places: np.ndarray) -> np.ndarray:
        feel = self.groove.feel
        if not swings(feel):
            return places
        bases = np.array([_base(int(place), self.groove.timeline) for place in places])
        return np.asarray(bases + play(places - bases, feel))

    def running_lean(self, place: int) -> int:
        """Return by how many ticks the drummer is behind the written tick *place* thereabouts (the median)."""
        found = self._running.get(place)
        if found is None:
            places, off = self._deviations
            beat = self.groove.timeline.metre_at(place).beat_ticks
            low, high = np.searchsorted(
                places, (place - RUNNING_BEATS * beat, place + RUNNING_BEATS * beat + 1)
            )
            near = np.sort(off[low:high])
            found = self._running[place] = int(near[len(near) // 2]) if len(near) >= FEWEST_NEAR else 0
        return found

    def played_at(self, place: int) -> int:
        """Return the tick, the common lean taken off, at which this drummer plays the written tick *place*."""
        return self.swung(place) + self.running_lean(place)

    def swung(self, place: int) -> int:
        """Return where the written tick *place* falls when it is swung as the groove is."""
        feel = self.groove.feel
        if not swings(feel):
            return place
        base = _base(place, self.groove.timeline)
        return base + round(float(play(place - base, feel)))

    def straight(self, tick: int) -> int:
        """Return the written tick of *tick* (lean taken off), to the tick: swing taken out, nothing put on a grid."""
        feel = self.groove.feel
        if not swings(feel):
            return tick
        base = _base(tick, self.groove.timeline)
        return base + round(float(straighten(tick - base, feel)))

    def place_at(self, tick: int) -> int:
        """Return the written tick that something played at *tick* (lean taken off) belongs to: a hit's, or the nearest
        sixteenth or third."""
        known = self._place_of.get(tick)
        if known is not None:
            return known
        even = self.straight(tick)
        even -= self.running_lean(even)
        return min(round(even / 240) * 240, round(even / 320) * 320, key=lambda place: abs(place - even))

    @cached_property
    def _place_of(self) -> dict[int, int]:
        return {hit.tick: place for hit, place in zip(self.groove.hits, self.places, strict=True)}

    def hits_at(self, place: int) -> tuple[int, ...]:
        """Return the indices of the hits that are meant at the written tick *place*."""
        return tuple(self._hits_at.get(place, ()))

    @cached_property
    def _hits_at(self) -> dict[int, list[int]]:
        found: dict[int, list[int]] = {}
        for index, place in enumerate(self.places):
            found.setdefault(place, []).append(index)
        return found


def _base(tick: int, timeline: Timeline) -> int:
    """Return the tick that swing is counted from in the bar of *tick*."""
    bar = timeline.bar_at(tick)
    return bar.start_tick - shift_ticks(bar)


def take_lean_off(groove: Groove) -> tuple[Groove, Lean]:
    """Return *groove* with the drummer's common lean taken off its hits, and that lean; of free playing nothing."""
    ticks = np.array([hit.tick for hit in groove.hits], dtype=np.int64)
    says = [(SOFTEST_SAYS + hit.velocity / 127) * _SAYS.get(hit.piece.family, 1.0) for hit in groove.hits]
    lean = find_lean(ticks, np.array(says), groove.timeline)
    return (groove, lean) if is_free(lean) else (move_hits(groove, -lean.ticks), lean)


def is_free(lean: Lean) -> bool:
    """Return whether the strokes of this *lean* keep to no beat that the file's bars could be."""
    return lean.strokes >= FEWEST_FREE and lean.clarity < FREE_BELOW


def move_hits(groove: Groove, by_ticks: int) -> Groove:
    """Return *groove* with all hits *by_ticks* later."""
    hits = tuple(Hit(hit.tick + by_ticks, hit.piece, hit.velocity, hit.note) for hit in groove.hits)
    return replace(groove, hits=hits)


def read_meaning(
    groove: Groove,
    feel: Feel,
    lean: Lean | None,
    loud: Sequence[Stroke],
    others: Mapping[int, int] | None = None,
) -> Reading:
    """Return the reading of *groove*, whose *lean* is taken off (None = it was not asked) and whose *feel* is known.

    *loud* says how hard each hit was struck. *others* are the ticks at which a band's other players strike, each with
    a mask of them (bits above the drums'); they are read with the hits, as one. Strokes meant on the bar line after the
    last bar are a final chord, with a bar of their own, or else strays, written at the last bar's end.
    """
    groove = replace(groove, feel=feel)
    gestures = find_gestures(groove)
    main_of = {index: gesture.main for gesture in gestures for index in gesture.graces}
    own = [index for index in range(len(groove.hits)) if index not in main_of]
    struck = [(groove.hits[index].tick, 1 << FAMILY_ORDER[groove.hits[index].piece.family]) for index in own]
    if others:
        struck = sorted([*struck, *others.items()], key=lambda stroke: stroke[0])
    ticks, masks = [tick for tick, _ in struck], [mask for _, mask in struck]
    free = lean is not None and is_free(lean)
    meant = _raw_places(ticks) if free else quantise(ticks, masks, groove.timeline, feel)
    found = dict(zip(ticks, meant, strict=True))
    first = (
        0
        if groove.timeline.pickup_ticks or not ticks
        else groove.timeline.bar_at(max(0, meant[0])).start_tick
    )
    mains = [groove.hits[main_of.get(index, index)] for index in range(len(groove.hits))]
    places = [max(first, found[hit.tick]) for hit in mains]
    beside = {tick: max(first, found[tick]) for tick in others or ()}
    timeline = _ended(groove, places, loud, beside)
    end = timeline.end_tick
    kept = tuple(place if place < end else end - LAST_STEP_TICKS for place in places)
    lean_ticks = lean.ticks if lean and not free else 0
    groove = replace(groove, timeline=timeline)
    doubt = FREE if free else UNSURE if lean and lean.is_unsure else ""
    strays = frozenset(index for index, place in enumerate(places) if place >= end)
    return Reading(groove, kept, gestures, lean_ticks, doubt, beside, strays)


def _raw_places(ticks: Sequence[int]) -> list[int]:
    """Return each tick on the nearest thirty-second: what is played freely is written where it falls."""
    return [round(tick / FREE_STEP_TICKS) * FREE_STEP_TICKS for tick in ticks]


def begin_at(reading: Reading, start_tick: int, pickup_ticks: int, chart_bars: int = 0) -> Reading:
    """Return *reading* with what comes before the music not counted: silent bars, and a count-in up to *start_tick*.

    The music begins with the bar of its first stroke, or with a pickup of *pickup_ticks* (0 = none) to the next. A
    chart of *chart_bars* bars (0 = none) that is as long as the file with all of it says that it does count.
    """
    timeline = reading.groove.timeline
    music = [place for place in reading.places if place >= start_tick]
    if not music or timeline.pickup_ticks:
        return reading
    bar = timeline.bar_at(min(music))
    skipped = bar.number - (0 if pickup_ticks else 1)
    if skipped < 1 or any(0 < change.tick <= bar.start_tick for change in timeline.metres):
        return reading
    count = timeline.bar_at(timeline.end_tick - 1).number
    if chart_bars and count % chart_bars == 0 and (count - skipped) % chart_bars:
        return reading
    lead_ticks = bar.end_tick - pickup_ticks if pickup_ticks else bar.start_tick
    begun = replace(timeline, lead_ticks=lead_ticks, pickup_ticks=pickup_ticks)
    return replace(reading, groove=replace(reading.groove, timeline=begun))


def _ended(
    groove: Groove, places: Sequence[int], loud: Sequence[Stroke], others: Mapping[int, int]
) -> Timeline:
    """Return the timeline up to the end of the bar of the last meant stroke, strays on the bar line after it aside.

    A length that is stated, as a pattern's, and is more than what is struck, stays.
    """
    timeline = groove.timeline
    if not places and not others:
        return timeline
    last = max(*places, *others.values(), -1)
    heard_end = timeline.bar_at(max([*others, *(hit.tick for hit in groove.hits[-1:])])).end_tick
    if last < timeline.end_tick and timeline.end_tick > heard_end:
        return timeline
    bar = timeline.bar_at(last)
    at_last = [index for index, place in enumerate(places) if place == last]
    is_final = last in others.values() or any(
        groove.hits[index].piece.family in FINAL
        or (groove.hits[index].piece.family is Family.SNARE and loud[index] is Stroke.ACCENT)
        for index in at_last
    )
    is_stray = last == bar.start_tick and not is_final and len(at_last) < len(places)
    return replace(timeline, end_tick=bar.start_tick if is_stray else bar.end_tick)
