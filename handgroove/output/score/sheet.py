"""Lay a part out as a sheet: the main job of the score in one readable line of stages."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from handgroove.output.score import marks
from handgroove.output.score.drum_line import make_drum_line
from handgroove.output.score.layout import break_systems
from handgroove.output.score.place import find_feel, place_notes
from handgroove.output.score.sheet_model import Measure, Sheet, Symbol, Words
from handgroove.output.score.staff import Staff, spell_heads
from handgroove.part import Part
from handgroove.strike import Hand
from handgroove.timeline import Bar, Timeline


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
    sections = [round(m.tick / 240) * 240 for m in part.sections]  # a band file's may be a hair off
    for hand in (Hand.RIGHT, Hand.LEFT):
        own = [p for p in placed if p.note.hand is hand]
        staff = Staff(hand, measures, timeline, sections)
        staff.write(own, spell_heads(own, part), part.harmony.key, options.fingerings)
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
