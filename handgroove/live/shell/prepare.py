"""Making patterns and charts ready for the stage: whatever takes time or may fail is done before a note sounds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import lcm

from handgroove.desk.desk import Desk, find_cells, plan_chords
from handgroove.groove.hits import Groove, Hit
from handgroove.groove.know.knowledge import know_groove
from handgroove.groove.know.levels import DEFAULT_LEVELS, find_levels
from handgroove.groove.meant.reading import move_hits
from handgroove.groove.read.rows import NOTE_OF, STRUCK, GridHit
from handgroove.groove.read.steps import Grid
from handgroove.groove.suggest.lay_bar import CELL_ROUND_BARS
from handgroove.groove.suggest.lay_cells import LaidCells
from handgroove.harmony.chart import Chart
from handgroove.harmony.charts.lay import lay_chart
from handgroove.harmony.voice.voicing_settings import HarmonySettings
from handgroove.host.fence import Fence
from handgroove.host.links import make_links, make_own
from handgroove.host.planned import PlannedPlacing
from handgroove.live.core.live_placing import LivePlacing, Plan
from handgroove.live.core.loops import Loop, Playable
from handgroove.patterns import Fill, Pattern
from handgroove.timeline import Metre, MetreChange, TempoChange, Timeline, bpm_to_quarter_us

_LANDING_VELOCITY = STRUCK["X"][1]


def prepare_pattern(
    pattern: Pattern, fence: Fence, groove: Groove | None = None, *, plays: bool = True
) -> Playable:
    """Return *pattern* ready to play, its translators inside *fence*.

    With a *groove* (a drummer's file) that is played once in place of the pattern's own; without *plays* there is no
    loop, and the pattern only answers hits from outside.
    """
    ready = Playable(
        pattern.name,
        make_links(pattern.assignments, fence),
        DEFAULT_LEVELS,
        Timeline((MetreChange(0, pattern.metre),)),
        fills={fill.name: _fill_loop(pattern, fill) for fill in pattern.fills},
        tempo_bpm=pattern.tempo_bpm,
        own=make_own(pattern.assignments, fence),
        feel=pattern.feel,
    )
    if groove is not None:
        return _with_file(ready, groove, plays)
    if not pattern.bars:
        return ready
    own = pattern.groove()
    ready = replace(ready, timeline=own.timeline, tempo_bpm=own.timeline.tempo_at(0))
    if not plays:
        return ready
    grid = Grid(pattern.metre, pattern.steps_per_beat, pattern.feel)
    loop = Loop.of(own, _places(own.hits, grid), "groove")
    cells = _loop_cells(pattern, ready)
    return replace(
        ready, loop=loop, levels=find_levels(own), steps_per_beat=pattern.steps_per_beat, cells=cells
    )


def _loop_cells(pattern: Pattern, ready: Playable) -> LaidCells | None:
    """Return the cells of as many rounds of *pattern*'s loop as make whole phrases; they come again and again."""
    rounds = pattern.groove(lcm(pattern.bars, CELL_ROUND_BARS))
    cells = find_cells(know_groove(rounds), ready.links)
    return cells and replace(cells, round_ticks=rounds.timeline.end_tick)


def _with_file(ready: Playable, groove: Groove, plays: bool) -> Playable:
    """Return *ready* with a drummer's file, each stroke meant as the desk reads it, from its first bar or pickup on."""
    known = Desk(groove).known
    reading = known.reading
    lead = reading.groove.timeline.lead_ticks
    counted = sum(place < lead for place in reading.places)  # a count-in is the drummer's own
    played = move_hits(reading.groove, reading.lean_ticks - lead)
    played = replace(played, hits=played.hits[counted:])
    played = replace(played, timeline=_without_lead(played.timeline))
    ready = replace(
        ready, timeline=played.timeline, tempo_bpm=played.timeline.tempo_at(0), feel=reading.groove.feel
    )
    if not plays:
        return ready
    places = [place - lead for place in reading.places[counted:]]
    loop = Loop.of(played, places, groove.title or "groove", once=True)
    cells = find_cells(known, ready.links)
    return replace(ready, loop=loop, levels=known.levels, cells=cells and replace(cells, start_tick=-lead))


def _without_lead(timeline: Timeline) -> Timeline:
    """Return *timeline* from the end of the silence before the music on."""
    lead = timeline.lead_ticks
    metres = tuple(MetreChange(max(0, change.tick - lead), change.metre) for change in timeline.metres)
    tempo = TempoChange(0, bpm_to_quarter_us(timeline.tempo_at(lead)))
    later = tuple(
        TempoChange(change.tick - lead, change.quarter_us) for change in timeline.tempos if change.tick > lead
    )
    return replace(
        timeline, metres=metres, tempos=(tempo, *later), end_tick=timeline.end_tick - lead, lead_ticks=0
    )


def _places(hits: Sequence[Hit | GridHit], grid: Grid) -> tuple[int, ...]:
    """Return the written ticks of *hits* that stand on *grid*."""
    return tuple(grid.nearest_step(hit.tick) * grid.step_ticks for hit in hits)


def _fill_loop(pattern: Pattern, fill: Fill) -> Loop:
    grid = Grid(pattern.metre, fill.steps_per_beat, fill.feel)
    hits = tuple(Hit(hit.tick, hit.piece, hit.velocity, NOTE_OF[hit.piece]) for hit in fill.hits)
    landing = tuple(Hit(0, piece, _LANDING_VELOCITY, NOTE_OF[piece]) for piece in fill.lands)
    length_ticks = fill.bars * pattern.metre.bar_ticks
    return Loop(fill.name, hits, length_ticks, once=True, landing=landing, places=_places(fill.hits, grid))


def prepare_placing(chart: Chart | None, settings: HarmonySettings, metre: Metre) -> LivePlacing:
    """Return the live harmony: *chart*'s voicings and low notes planned ahead, chords from the keys as they come."""
    if chart is None:
        return LivePlacing(settings)
    timeline = Timeline((MetreChange(0, chart.metre or metre),))
    harmony = lay_chart(chart, timeline)
    placing = PlannedPlacing(harmony, *plan_chords(harmony, settings))
    return LivePlacing(settings, Plan(placing, harmony.spans[-1].end_tick, harmony.sections))
