"""Making patterns and charts ready for the stage: whatever takes time or may fail is done before a note sounds."""

from __future__ import annotations

from functools import partial

from handgroove.groove.hits import Groove, Hit
from handgroove.groove.know.levels import DEFAULT_LEVELS, find_levels
from handgroove.groove.read.rows import NOTE_OF, STRUCK
from handgroove.harmony.chart import Chart
from handgroove.harmony.charts.lay import lay_chart
from handgroove.harmony.chord import Chord
from handgroove.harmony.voice.low_notes import next_low, plan_low
from handgroove.harmony.voice.voicing_settings import HarmonySettings
from handgroove.harmony.voice.voicings import next_voicing, plan_voicings
from handgroove.host.fence import Fence
from handgroove.host.links import make_links, make_stop
from handgroove.host.planned import PlannedPlacing
from handgroove.live.core.live_placing import LivePlacing, Plan
from handgroove.live.core.loops import Loop, Playable
from handgroove.patterns import Pattern
from handgroove.timeline import Metre, MetreChange, Timeline

_LANDING_VELOCITY = STRUCK["X"][1]


def prepare_pattern(
    pattern: Pattern, fence: Fence, groove: Groove | None = None, *, plays: bool = True
) -> Playable:
    """Return *pattern* ready to play, its translators inside *fence*.

    With a *groove* (a drummer's file) that is played once in place of the pattern's own; without *plays* there is no
    loop, and the pattern only answers hits from outside.
    """
    links = make_links(pattern.assignments, fence)
    stop = make_stop(fence)
    fills = {fill.name: _fill_loop(pattern, fill.name) for fill in pattern.fills}
    own = groove or (pattern.groove() if pattern.bars else None)
    if own is None:
        timeline = Timeline((MetreChange(0, pattern.metre),))
        return Playable(pattern.name, links, DEFAULT_LEVELS, timeline, None, fills, pattern.tempo_bpm, stop)
    name = groove.title if groove else "groove"
    loop = Loop.of(own, name or "groove", once=groove is not None)
    tempo_bpm = own.timeline.tempo_at(0)
    levels = find_levels(own) if plays else DEFAULT_LEVELS
    played = loop if plays else None
    return Playable(pattern.name, links, levels, own.timeline, played, fills, tempo_bpm, stop)


def _fill_loop(pattern: Pattern, name: str) -> Loop:
    fill = pattern.fill(name)
    hits = tuple(Hit(hit.tick, hit.piece, hit.velocity, NOTE_OF[hit.piece]) for hit in fill.hits)
    landing = tuple(Hit(0, piece, _LANDING_VELOCITY, NOTE_OF[piece]) for piece in fill.lands)
    return Loop(name, hits, fill.bars * pattern.metre.bar_ticks, once=True, landing=landing)


def prepare_placing(chart: Chart | None, settings: HarmonySettings, metre: Metre) -> LivePlacing:
    """Return the live harmony: *chart*'s voicings and low notes planned ahead, chords from the keys as they come."""
    voicing = partial(_voicing, settings)
    low = partial(_low, settings)
    if chart is None:
        return LivePlacing(voicing, low)
    timeline = Timeline((MetreChange(0, chart.metre or metre),))
    harmony = lay_chart(chart, timeline)
    lows = plan_low(harmony, settings)
    placing = PlannedPlacing(harmony, plan_voicings(harmony, settings, lows=lows), lows)
    return LivePlacing(voicing, low, Plan(placing, harmony.spans[-1].end_tick, harmony.sections))


def _voicing(settings: HarmonySettings, chord: Chord, previous: tuple[int, ...]) -> tuple[int, ...]:
    return next_voicing(previous, chord, settings)


def _low(settings: HarmonySettings, chord: Chord, previous: int | None) -> int:
    return next_low(previous, chord, settings)
