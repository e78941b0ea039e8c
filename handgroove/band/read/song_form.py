"""The shape of a band's song: key, chords, sections and their repeats, drum-only bars, fills, stops and pushes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from handgroove.band.read.meant import read_notes, written
from handgroove.band.read.pushes import Push, find_pushes, push_spans
from handgroove.band.read.roles import BandRole, Cast
from handgroove.band.read.sections import Section, find_sections
from handgroove.band.read.tracks import Band, BandNote, meant_together
from handgroove.desk.ends import STOP_HOLD_TICKS
from handgroove.groove.hits import Groove, Marker
from handgroove.groove.kit import GENERAL_MIDI, Kit
from handgroove.groove.know.knowledge import Knowledge
from handgroove.groove.know.structure import Stretch
from handgroove.groove.meant.reading import Reading
from handgroove.harmony.chart import Chart, ChordSpan, Cue, Harmony, lay_chart
from handgroove.harmony.chord import Key
from handgroove.harmony.find.key_finding import find_key, find_keys
from handgroove.harmony.find.recognise import recognise_chords

_SILENCE_SHARE = 0.9  # of a beat: a shorter hole is a breath, not a stop
_TUTTI_SHARE = 0.5  # of the tracks about play a stop together
DRUM_TICKS = 120  # a drum's stroke is heard for about a thirty-second, whatever its note's length


@dataclass(frozen=True, slots=True)
class Stop:
    """The band strikes together, meant at *place*, and is silent until *end_place* (written ticks).

    It is played at *tick*, and the silence begins at *silent_tick*.
    """

    place: int
    end_place: int
    tick: int
    silent_tick: int


@dataclass(frozen=True)
class Form:
    """What is known of a song as a whole: the *band* and its *casts* as they are meant, and the *reading* of all.

    *drum_only* are bar numbers.
    """

    band: Band
    casts: tuple[Cast, ...]
    reading: Reading
    harmony: Harmony
    knowledge: Knowledge | None
    sections: tuple[Section, ...]
    drum_only: tuple[Stretch, ...]
    stops: tuple[Stop, ...]
    pushes: tuple[Push, ...]

    @property
    def groove(self) -> Groove:
        """Return all drum tracks together, the band's lean taken off."""
        return self.reading.groove

    def section_at(self, place: int) -> Section:
        """Return the section that the written tick *place* falls in."""
        return next((s for s in reversed(self.sections) if s.start_tick <= place), self.sections[0])


def find_form(
    band: Band,
    casts: Sequence[Cast],
    chart: Chart | None = None,
    key: Key | None = None,
    kit: Kit = GENERAL_MIDI,
) -> Form:
    """Return the form of *band*'s song; chords and key come from *chart* and *key* where they are given."""
    band, casts, reading, knowledge = read_notes(band, casts, kit)
    sounding = written(
        note
        for cast in casts
        if cast.role not in (BandRole.DRUMS, BandRole.UNUSED)
        for note in cast.track.notes
    )
    harmony = _find_harmony(band, sounding, chart, key)
    pushes = () if chart else find_pushes(band, casts, harmony)
    if pushes:
        spans = push_spans(harmony.spans, pushes)
        harmony = Harmony(spans, harmony.key, harmony.sections, harmony.messages, harmony.stated)
    drum_only = knowledge.drum_only if knowledge else ()
    harmony = _vamp(harmony, drum_only, band)
    fills = [fill.landing_tick for fill in knowledge.fills] if knowledge else []
    sections = find_sections(band, casts, harmony, drum_only, fills)
    named = tuple(Marker(section.start_tick, section.name) for section in sections)
    harmony = Harmony(harmony.spans, harmony.key, named, harmony.messages, harmony.stated)
    stops = _find_stops(casts, band)
    stops += tuple(
        Stop(
            span.start_tick,
            span.end_tick,
            reading.played_at(span.start_tick),
            reading.played_at(min(span.end_tick, span.start_tick + STOP_HOLD_TICKS)),
        )
        for span in harmony.spans
        if span.cue is Cue.STOP and not any(stop.place == span.start_tick for stop in stops)
    )
    return Form(band, casts, reading, harmony, knowledge, sections, drum_only, stops, pushes)


def _find_harmony(band: Band, sounding: Sequence[BandNote], chart: Chart | None, key: Key | None) -> Harmony:
    """Return the chords: the chart's, or those that sound."""
    if chart is not None or not sounding:
        return lay_chart(chart, band.timeline, key)
    keys = find_keys(sounding, band.timeline)
    spans = _absorb(recognise_chords(sounding, band.timeline, keys), band)
    return Harmony(spans, key or find_key(sounding))


def _absorb(spans: Sequence[ChordSpan], band: Band) -> tuple[ChordSpan, ...]:
    """Return *spans* without beats that only hear a bass run on: a chord of a beat, all of it in the chord before."""
    kept: list[ChordSpan] = []
    for span in spans:
        before = kept[-1] if kept else None
        goes_on = before is not None and (before.chord, before.cue) == (span.chord, span.cue)
        if before is not None and (goes_on or _is_run(before, span, band)):
            kept[-1] = replace(before, end_tick=span.end_tick)
        else:
            kept.append(span)
    return tuple(kept)


def _is_run(before: ChordSpan, span: ChordSpan, band: Band) -> bool:
    """Return whether *span* is a beat or less, not a bar's first, of nothing that the chord *before* does not have."""
    bar = band.timeline.bar_at(span.start_tick)
    if span.start_tick == bar.start_tick or span.end_tick - span.start_tick > bar.metre.beat_ticks:
        return False
    return before.chord is not None and span.chord is not None and span.chord.pcs <= before.chord.pcs


def _vamp(harmony: Harmony, drum_only: Sequence[Stretch], band: Band) -> Harmony:
    """Return *harmony* with the chord that follows (or went before) under bars of drums alone, where it has none."""
    spans = list(harmony.spans)
    for stretch in drum_only:
        start, end = band.timeline.bar_start(stretch.first), band.timeline.bar_start(stretch.last + 1)
        for index, span in enumerate(spans):
            if span.chord is None and span.start_tick < end and span.end_tick > start:
                near = [*spans[index + 1 :], *reversed(spans[:index])]
                chord = next((other.chord for other in near if other.chord), None)
                spans[index] = replace(span, chord=chord)
    return replace(harmony, spans=tuple(spans))


def _find_stops(casts: Sequence[Cast], band: Band) -> tuple[Stop, ...]:
    """Find where most of the band strikes together and all are silent for about a beat or more, inside the song."""
    strokes = [
        (note, cast.track.name, note.tick + DRUM_TICKS if cast.role is BandRole.DRUMS else note.end_tick)
        for cast in casts
        if cast.role is not BandRole.UNUSED
        for note in cast.track.notes
    ]
    of = {id(note): (name, end) for note, name, end in strokes}
    groups = meant_together(note for note, _, _ in strokes)
    stops: list[Stop] = []
    until = 0
    for index, group in enumerate(groups):
        tick = group[0].tick
        beat = band.timeline.metre_at(group[0].meant).beat_ticks
        if index and tick - until >= _SILENCE_SHARE * beat:
            last = groups[index - 1]
            struck = {of[id(note)][0] for note in last}
            bar = band.timeline.bar_at(last[0].meant)
            about = {
                cast.track.name
                for cast in casts
                if cast.role is not BandRole.UNUSED
                and cast.track.between(bar.start_tick - bar.length_ticks, last[0].meant + 1)
            }
            if len(struck) >= 2 and len(struck) >= _TUTTI_SHARE * len(about):
                stops.append(Stop(last[0].meant, group[0].meant, last[0].tick, until))
        until = max(until, *(of[id(note)][1] for note in group))
    return tuple(stops)
