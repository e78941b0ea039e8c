"""Lay a part out as a sheet: the main job of the score in one readable line of stages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from handgroove.harmony.chord import Name
from handgroove.output.score import marks, spelling
from handgroove.output.score.articulation import add_accents, add_tenuto, say_sim
from handgroove.output.score.drums import make_drum_line
from handgroove.output.score.durations import make_events
from handgroove.output.score.layout import break_systems
from handgroove.output.score.model import Event, Head, Measure, Placed, Sheet, Symbol, Words
from handgroove.output.score.place import find_feel, place_notes
from handgroove.output.score.rhythm import attach_heads, beam, fill_bars, set_stems
from handgroove.output.score.staves import Way, choose_ways, diatonic
from handgroove.output.score.voices import split_voices
from handgroove.part import Part
from handgroove.strike import Hand, Role
from handgroove.timeline import Bar, Timeline

STAFF = {Hand.RIGHT: 1, Hand.LEFT: 2}
FIRST_VOICE = {Hand.RIGHT: 1, Hand.LEFT: 5}


@dataclass(frozen=True, slots=True)
class Options:
    """What the reader asked for. *simile* writes repeated bars as repeat signs, *drum_cue* adds the groove's line,
    *ghost_left_out* shows left-out strokes small in it."""

    fingerings: marks.Fingerings = "changes"
    drum_cue: bool = False
    simile: bool = False
    ghost_left_out: bool = False


def make_sheet(part: Part, options: Options = Options()) -> Sheet:
    """Return *part* as a sheet of measures with everything that is printed on it."""
    feel = find_feel(part)
    placed = place_notes(part, feel)
    end_tick = max([part.timeline.end_tick, *(p.tick + 1 for p in placed), 1])
    timeline = replace(part.timeline, end_tick=end_tick)
    bars = list(timeline.bars())
    measures = [Measure(bar, {}) for bar in bars]
    sections = [round(m.tick / 240) * 240 for m in part.sections]
    for hand in (Hand.RIGHT, Hand.LEFT):
        _write_hand(
            hand, [p for p in placed if p.note.hand is hand], part, timeline, measures, options, sections
        )
    _stand_around(part, timeline, measures, sections)
    if options.simile:
        find_repeats(measures)
    break_systems(measures, set(sections))
    for measure in measures:
        measure.repeats_last &= not measure.new_system  # a sign at the start of a line sends the eye back up
    marks.restate_chords(measures)
    drums = None
    if (options.drum_cue or options.ghost_left_out) and part.groove.hits:
        whole, left_out = options.drum_cue, options.ghost_left_out
        drums = make_drum_line(part, feel, timeline, bars, whole=whole, left_out=left_out)
    title = part.title.replace("_", " ")  # a title taken from a file's name
    return Sheet(title, part.harmony.key, tuple(measures), _tempos(timeline), feel, drums)


def _write_hand(
    hand: Hand,
    placed: Sequence[Placed],
    part: Part,
    timeline: Timeline,
    measures: Sequence[Measure],
    options: Options,
    sections: Sequence[int],
) -> None:
    """Fill one staff of the *measures* with the notes of one hand."""
    bars = [m.bar for m in measures]
    heads = _spell(placed, part)
    upper, lower = split_voices(placed, timeline)
    tune = any(p.note.role is Role.MELODY for p in upper)
    staff: list[list[list[Symbol]]] = [[] for _ in bars]
    for number, voice in ((FIRST_VOICE[hand], upper), (FIRST_VOICE[hand] + 1, lower)):
        events = add_accents(add_tenuto(make_events(voice, timeline, bars[-1].end_tick)), timeline)
        above = number == FIRST_VOICE[hand]
        for measure, symbols, group in zip(
            measures, fill_bars(events, bars, rests=above or tune), staff, strict=True
        ):
            if above or any(s.event for s in symbols):
                attach_heads(symbols, heads)
                beam(symbols, measure.bar)
                measure.voices[number] = symbols
                group.append(symbols)
    say_sim(measures, (FIRST_VOICE[hand], FIRST_VOICE[hand] + 1), STAFF[hand], sections)
    spelling.add_accidentals(staff, part.harmony.key)
    ordered = sorted((s for group in staff for voice in group for s in voice), key=lambda s: s.tick)
    marks.show_fingers(ordered, timeline, options.fingerings, sections)
    steps = [[diatonic(h) for voice in group for s in voice for h in s.heads] for group in staff]
    ways = choose_ways(steps, hand)
    _set_ways(ways, measures, STAFF[hand], FIRST_VOICE[hand])
    for way, measure in zip(ways, measures, strict=True):
        measure.middles[STAFF[hand]] = way.middle
        numbers = [n for n in (FIRST_VOICE[hand], FIRST_VOICE[hand] + 1) if n in measure.voices]
        for number in numbers:
            on_top = number == FIRST_VOICE[hand]
            set_stems(measure.voices[number], shared=len(numbers) > 1, upper=on_top, middle=way.middle)


def _spell(placed: Sequence[Placed], part: Part) -> dict[int, Head]:
    """Return the notes as spelled heads, by their index in the part."""
    known: dict[tuple[int, str], tuple[Name, int]] = {}
    heads = {}
    for p in placed:
        chord = part.harmony.at(p.note.tick).chord if part.harmony.spans else None
        place = (p.note.pitch, chord.symbol if chord else "")
        if place not in known:
            known[place] = spelling.plain_spelling(p.note.pitch, part.harmony.key, chord)
        heads[p.index] = Head(p, *known[place])
    return heads


def _set_ways(ways: Sequence[Way], measures: Sequence[Measure], staff: int, voice: int) -> None:
    """Write clef changes and octave lines where the way of writing changes."""
    last_clef = None
    open_line: Words | None = None
    for index, (way, measure) in enumerate(zip(ways, measures, strict=True)):
        if way.clef is not last_clef:
            measure.clefs[staff] = last_clef = way.clef
        sounding = [s for s in measure.voices[voice] if s.heads]
        if way.octaves and open_line is None and sounding:
            open_line = Words(sounding[0].tick, "octave", "up" if way.octaves < 0 else "down", staff)
            measure.words.append(open_line)
        following = ways[index + 1] if index + 1 < len(ways) else None
        if open_line and (following is None or following.octaves != way.octaves):
            last = next(
                s for m in reversed(measures[: index + 1]) for s in reversed(m.voices[voice]) if s.heads
            )
            home = next(m for m in measures if m.bar.start_tick <= last.tick < m.bar.end_tick)
            home.words.append(Words(last.end_tick, "octave", "stop", staff))
            open_line = None


def _stand_around(
    part: Part, timeline: Timeline, measures: Sequence[Measure], sections: Sequence[int]
) -> None:
    """Add chord symbols, section names, dynamics, pedal and metre changes."""
    starts = sorted({measures[0].bar.start_tick, *sections})
    words = [Words(tick, "section", m.text, 1) for tick, m in zip(sections, part.sections, strict=True)]
    words += marks.find_dynamics(part, starts)
    words += marks.pedal_words(part, timeline)
    marks.place_words(measures, words)
    for mark in marks.chord_marks(part):
        home = max((m for m in measures if m.bar.start_tick <= mark.tick), key=lambda m: m.bar.start_tick)
        home.chords.append(mark)
    metre = None
    for measure in measures:
        measure.shows_metre = measure.bar.metre != metre
        metre = measure.bar.metre


def find_repeats(measures: Sequence[Measure]) -> None:
    """Mark the bars that say again, in both hands, exactly what the bar before says."""
    last = None
    for measure in measures:
        now = tuple(
            (number, _shape(symbols, measure.bar)) for number, symbols in sorted(measure.voices.items())
        )
        silent = all(not s.heads for symbols in measure.voices.values() for s in symbols)
        plain = not measure.clefs and not measure.shows_metre
        measure.repeats_last = plain and not silent and now == last
        last = now


def _shape(symbols: Sequence[Symbol], bar: Bar) -> tuple[object, ...]:
    """Return what a voice's bar looks like, wherever it stands."""
    return tuple(
        (
            s.tick - bar.start_tick,
            s.length_ticks,
            s.event.marks if s.event else (),  # not the symbol's, which "sim." may have taken
            len(s.graces),
            tuple((h.placed.note.pitch, h.tied_from, h.tied_on) for h in s.heads),
        )
        for s in symbols
    )


def _tempos(timeline: Timeline) -> tuple[tuple[int, float], ...]:
    """Return the tempos worth printing: the first, and each that differs by a twentieth from the last printed."""
    shown: list[tuple[int, float]] = []
    for change in timeline.tempos:
        if not shown or abs(change.tempo_bpm - shown[-1][1]) > 0.05 * shown[-1][1]:
            shown.append((round(change.tick / 960) * 960, change.tempo_bpm))
    return tuple(shown)


def events_of(symbols: Sequence[Symbol]) -> list[Event]:
    """Return the events that *symbols* write, each once."""
    return [s.event for s in symbols if s.event and s.tick == s.event.tick]
