"""One hand's staff: its voices, symbols, accidentals, marks, fingerings, clefs and stems, written into the measures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from handgroove.harmony.chord import Key, Name
from handgroove.output.chord_of import chord_of
from handgroove.output.score.accidentals import add_accidentals, plain_spelling
from handgroove.output.score.articulation import add_accents, add_tenuto, say_sim
from handgroove.output.score.durations import make_events
from handgroove.output.score.marks import Fingerings, show_fingers
from handgroove.output.score.rhythm import attach_heads, beam, fill_bars, set_stems
from handgroove.output.score.sheet_model import Head, Measure, Symbol, Words, Written
from handgroove.output.score.staves import ClefChoice, choose_ways, diatonic
from handgroove.output.score.two_voices import split_voices
from handgroove.part import Part
from handgroove.strike import Hand, Role
from handgroove.timeline import Timeline


def spell_heads(placed: Sequence[Written], part: Part) -> dict[int, Head]:
    """Return the notes as spelled heads, by their index in the part."""
    known: dict[tuple[int, str], tuple[Name, int]] = {}
    heads = {}
    for p in placed:
        chord = chord_of(p.note, part.harmony)
        place = (p.note.pitch, chord.symbol if chord else "")
        if place not in known:
            known[place] = plain_spelling(p.note.pitch, part.harmony.key, chord)
        heads[p.index] = Head(p, *known[place])
    return heads


@dataclass(frozen=True, slots=True)
class Staff:
    """The staff of one *hand* over the sheet's *measures*; *sections* are the ticks at which sections start."""

    hand: Hand
    measures: Sequence[Measure]
    timeline: Timeline
    sections: Sequence[int]

    @property
    def number(self) -> int:
        """Return the staff's number, 1 at the top."""
        return 1 if self.hand is Hand.RIGHT else 2

    @property
    def voices(self) -> tuple[int, int]:
        """Return the numbers of its upper and lower voice."""
        return (1, 2) if self.hand is Hand.RIGHT else (5, 6)

    def write(
        self, placed: Sequence[Written], heads: dict[int, Head], key: Key, fingerings: Fingerings
    ) -> None:
        """Write the hand's notes into the measures, with all that belongs to them."""
        upper, lower = split_voices(placed, self.timeline)
        tune = any(p.note.role is Role.MELODY for p in upper)
        self._fill(self.voices[0], upper, heads, rests=True)
        self._fill(self.voices[1], lower, heads, rests=tune)
        say_sim(self.measures, self.voices, self.number, self.sections)
        bars = [self._bar(measure) for measure in self.measures]
        add_accidentals(bars, key)
        ordered = sorted((s for bar in bars for voice in bar for s in voice), key=lambda s: s.tick)
        show_fingers(ordered, self.timeline, fingerings, self.sections)
        steps = [[diatonic(h) for voice in bar for s in voice for h in s.heads] for bar in bars]
        self._set_ways(choose_ways(steps, self.hand))

    def _bar(self, measure: Measure) -> list[list[Symbol]]:
        """Return the symbols of the staff's voices in one measure."""
        return [measure.voices[number] for number in self.voices if number in measure.voices]

    def _fill(self, number: int, voice: Sequence[Written], heads: dict[int, Head], *, rests: bool) -> None:
        """Write one voice; the lower one only into bars where it has something to say."""
        bars = [measure.bar for measure in self.measures]
        events = add_tenuto(make_events(voice, self.timeline, bars[-1].end_tick))
        filled = fill_bars(add_accents(events, self.timeline), bars, rests=rests)
        for measure, symbols in zip(self.measures, filled, strict=True):
            if number == self.voices[0] or any(s.event for s in symbols):
                attach_heads(symbols, heads)
                beam(symbols, measure.bar)
                measure.voices[number] = symbols

    def _set_ways(self, ways: Sequence[ClefChoice]) -> None:
        """Write clefs, octave lines and stems."""
        last: ClefChoice | None = None
        for way, measure in zip(ways, self.measures, strict=True):
            if last is None or way.clef is not last.clef:
                measure.clefs[self.number] = way.clef
            last = way
            measure.middles[self.number] = way.middle
            shared = all(number in measure.voices for number in self.voices)
            for number in self.voices:
                upper = number == self.voices[0]
                set_stems(measure.voices.get(number, ()), shared=shared, upper=upper, middle=way.middle)
        start = 0
        for end in range(1, len(ways) + 1):
            if end == len(ways) or ways[end].octaves != ways[start].octaves:
                if ways[start].octaves:
                    self._draw_line(self.measures[start:end], ways[start].octaves)
                start = end

    def _draw_line(self, measures: Sequence[Measure], octaves: int) -> None:
        """Write an octave line from the first to the last note in *measures*."""
        notes = [(m, s) for m in measures for voice in self._bar(m) for s in voice if s.heads]
        first, last = min(notes, key=lambda item: item[1].tick), max(notes, key=lambda item: item[1].end_tick)
        # From what is written to what sounds, MusicXML counts the other way.
        kind = "up" if octaves < 0 else "down"
        first[0].words.append(Words(first[1].tick, "octave", kind, self.number))
        last[0].words.append(Words(last[1].end_tick, "octave", "stop", self.number))
