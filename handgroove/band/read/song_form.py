"""The shape of a band's song: key, chords, sections and their repeats, drum-only bars, fills, stops and pushes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from handgroove.band.read.features import near_ticks
from handgroove.band.read.pushes import Push, find_pushes, push_spans
from handgroove.band.read.roles import BandRole, Cast
from handgroove.band.read.sections import Section, find_sections
from handgroove.band.read.tracks import Band, BandNote
from handgroove.groove.hits import Groove, Hit, Marker
from handgroove.groove.kit import GENERAL_MIDI, Kit
from handgroove.groove.know.knowledge import Knowledge, know_groove
from handgroove.groove.know.structure import Stretch
from handgroove.groove.meant.reading import Reading
from handgroove.harmony.chart import Chart, ChordSpan, Cue, Harmony, lay_chart
from handgroove.harmony.chord import Key
from handgroove.harmony.find.key_finding import find_key, find_keys
from handgroove.harmony.find.recognise import recognise_chords

_SILENCE_SHARE = 0.9  # of a beat: a shorter hole is a breath, not a stop
_TUTTI_SHARE = 0.5  # of the tracks about play a stop together


@dataclass(frozen=True, slots=True)
class Stop:
    """The band strikes together at *tick* and is silent from *silent_tick* until *end_tick*."""

    tick: int
    silent_tick: int
    end_tick: int


@dataclass(frozen=True)
class Form:
    """What is known of a song as a whole. *groove* is all drum tracks together; *drum_only* are bar numbers."""

    harmony: Harmony
    groove: Groove
    knowledge: Knowledge | None
    sections: tuple[Section, ...]
    drum_only: tuple[Stretch, ...]
    stops: tuple[Stop, ...]
    pushes: tuple[Push, ...]

    @property
    def reading(self) -> Reading:
        """Return what the drums' strokes mean (without other tracks the drums are not read, and stand as played)."""
        if self.knowledge:
            return self.knowledge.reading
        return Reading(self.groove, tuple(hit.tick for hit in self.groove.hits))

    def section_at(self, tick: int) -> Section:
        """Return the section that *tick* falls in."""
        return next((s for s in reversed(self.sections) if s.start_tick <= tick), self.sections[0])


def find_form(
    band: Band,
    casts: Sequence[Cast],
    chart: Chart | None = None,
    key: Key | None = None,
    kit: Kit = GENERAL_MIDI,
) -> Form:
    """Return the form of *band*'s song; chords and key come from *chart* and *key* where they are given."""
    groove = make_groove(band, casts, kit)
    sounding = [
        note
        for cast in casts
        if cast.role not in (BandRole.DRUMS, BandRole.UNUSED)
        for note in cast.track.notes
    ]
    sounding.sort(key=lambda note: (note.tick, note.pitch))
    knowledge = None
    if groove.hits and sounding:
        knowledge = know_groove(groove, sounding=_join([(note.tick, note.end_tick) for note in sounding]))
        groove = knowledge.groove
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
    stops = _find_stops(band, casts)
    stops += tuple(
        Stop(span.start_tick, min(span.end_tick, span.start_tick + 480), span.end_tick)
        for span in harmony.spans
        if span.cue is Cue.STOP and not any(abs(stop.tick - span.start_tick) < 240 for stop in stops)
    )
    return Form(harmony, groove, knowledge, sections, drum_only, stops, pushes)


def _join(stretches: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return *stretches* (start and end ticks, by start) with those joined that overlap."""
    joined: list[tuple[int, int]] = []
    for start, end in stretches:
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return joined


def make_groove(band: Band, casts: Sequence[Cast], kit: Kit = GENERAL_MIDI) -> Groove:
    """Return the hits of all of *band*'s drum tracks as one groove."""
    hits: set[Hit] = set()
    unknown: dict[int, int] = {}
    for cast in casts:
        if cast.role is not BandRole.DRUMS:
            continue
        for note in cast.track.notes:
            piece = kit.pieces.get(note.pitch)
            if piece is None:
                unknown[note.pitch] = unknown.get(note.pitch, 0) + 1
            else:
                hits.add(Hit(note.tick, piece, note.velocity, note.pitch))
    ordered = tuple(sorted(hits, key=lambda hit: hit.order))
    return Groove(
        ordered,
        band.timeline,
        band.title,
        unknown=dict(sorted(unknown.items())),
        markers=band.markers,
        source=band.source,
    )


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


def _find_stops(band: Band, casts: Sequence[Cast]) -> tuple[Stop, ...]:
    """Find where most of the band strikes together and all are silent for about a beat or more, inside the song."""
    near = near_ticks(band)
    playing = [cast for cast in casts if cast.role is not BandRole.UNUSED]
    events: list[tuple[int, int, str]] = []
    for cast in playing:
        drums = cast.role is BandRole.DRUMS
        events += [
            (note.tick, note.tick + 120 if drums else note.end_tick, cast.track.name)
            for note in cast.track.notes
        ]
    events.sort()
    stops: list[Stop] = []
    until = 0
    for index, (tick, end, _) in enumerate(events):
        if index and tick > until:
            beat = band.timeline.metre_at(until).beat_ticks
            if tick - until >= _SILENCE_SHARE * beat:
                last = events[index - 1][0]
                struck = {name for when, _, name in events[max(0, index - 24) : index] if last - when <= near}
                bar = band.timeline.bar_at(last)
                about = {
                    name
                    for when, _, name in events[max(0, index - 200) : index]
                    if when >= bar.start_tick - bar.length_ticks
                }
                if len(struck) >= 2 and len(struck) >= _TUTTI_SHARE * len(about):
                    stops.append(
                        Stop(
                            min(
                                when
                                for when, _, name in events[max(0, index - 24) : index]
                                if last - when <= near
                            ),
                            until,
                            tick,
                        )
                    )
        until = max(until, end)
    return tuple(stops)
