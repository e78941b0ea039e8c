"""A take put through the whole job, with what the laws ask of the result worked out anew, from notes and page alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import pairwise
from statistics import median

from handgroove import parse_chart, read_player, translate
from handgroove.groove.hits import Feel, Groove
from handgroove.harmony.chart import Chart, ChordSpan
from handgroove.harmony.chord import Chord
from handgroove.output.score import format_musicxml, make_sheet
from handgroove.part import Note, Part
from handgroove.strike import Hand, Role
from handgroove.timeline import Timeline
from tests.laws.page import Page, read_page

RUNNING_BEATS = 2  # to each side: how a drummer leans just now
FEWEST_STROKES = 3  # of them; with fewer the whole take says how he leans


@dataclass(frozen=True, slots=True)
class ChordChange:
    """Where one chord follows another: the spans *before* and *after*."""

    before: ChordSpan
    after: ChordSpan

    @property
    def tick(self) -> int:
        """Return the written tick of the change."""
        return self.after.start_tick


@dataclass(frozen=True)
class Played:
    """A *part* and its page as *musicxml*."""

    part: Part
    musicxml: str

    @cached_property
    def page(self) -> Page:
        """Return the page, read back."""
        return read_page(self.musicxml, self.part.timeline)

    @property
    def timeline(self) -> Timeline:
        """Return the part's timeline."""
        return self.part.timeline

    def place(self, index: int) -> int:
        """Return the written tick of the part's note *index*, as printed."""
        return self.page.notes[index].tick

    @cached_property
    def answers(self) -> dict[int, list[int]]:
        """Return for each hit (index) the notes (indices) that stand for it; figures' notes aside."""
        found: dict[int, list[int]] = {}
        for index, note in enumerate(self.part.notes):
            if note.role is not Role.MELODY:
                for hit in note.hits:
                    found.setdefault(hit, []).append(index)
        return found

    @cached_property
    def accompaniment(self) -> list[tuple[int, Note, int]]:
        """Return (index, note, written tick) of all notes but the tune's, figures' and graces."""
        return [
            (index, note, self.place(index))
            for index, note in enumerate(self.part.notes)
            if note.role is not Role.MELODY and not note.grace
        ]

    def strokes(self, start_tick: int, end_tick: int) -> Iterator[tuple[Hand, int, list[Note]]]:
        """Yield (hand, written tick, notes) of every stroke of the accompaniment written from *start_tick* on."""
        for (place, hand), notes in self._strokes.items():
            if start_tick <= place < end_tick:
                yield hand, place, notes

    @cached_property
    def _strokes(self) -> dict[tuple[int, Hand], list[Note]]:
        found: dict[tuple[int, Hand], list[Note]] = {}
        for _, note, place in self.accompaniment:
            found.setdefault((place, note.hand), []).append(note)
        return dict(sorted(found.items()))

    @cached_property
    def changes(self) -> list[ChordChange]:
        """Return the chord changes within the music."""
        spans = self.part.harmony.spans
        return [
            ChordChange(before, after)
            for before, after in pairwise(spans)
            if before.chord and after.chord and before.chord.pcs != after.chord.pcs
        ]

    def own_pcs(self, span: ChordSpan) -> frozenset[int]:
        """Return the pitch classes that are at home in *span*: its chord's, and the colours of its scale that the part
        itself uses well inside that chord, a beat and more from its ends."""
        return self._own[span.chord.symbol] if span.chord else frozenset()

    @cached_property
    def _own(self) -> dict[str, frozenset[int]]:
        own: dict[str, set[int]] = {}
        scales: dict[str, Chord] = {}
        for span in self.part.harmony.spans:
            if span.chord:
                own.setdefault(span.chord.symbol, set(span.chord.pcs))
                scales[span.chord.symbol] = span.chord
        for _, note, place in self.accompaniment:
            span = self.part.harmony.at(place)
            beat = self.timeline.metre_at(place).beat_ticks
            if span.chord and span.start_tick + beat <= place < span.end_tick - beat:
                chord = scales[span.chord.symbol]
                if (note.pitch - chord.root.pc) % 12 in chord.scale:
                    own[span.chord.symbol].add(note.pitch % 12)
        return {symbol: frozenset(pcs) for symbol, pcs in own.items()}

    def swung(self, place: int) -> int:
        """Return where the written tick *place* falls when it is swung as the groove's feel says."""
        return swing(place, self.part.groove.feel, self.timeline)

    @cached_property
    def _leans(self) -> list[tuple[int, int]]:
        """Return (written tick, ticks behind it) of every note that stands for a hit."""
        return [(place, note.tick - self.swung(place)) for _, note, place in self.accompaniment if note.hits]

    def running_lean(self, place: int) -> int:
        """Return by how many ticks the drummer is behind the written tick *place* thereabouts, the median."""
        far = RUNNING_BEATS * self.timeline.metre_at(place).beat_ticks
        near = [late for at, late in self._leans if abs(at - place) <= far]
        strokes = near if len(near) >= FEWEST_STROKES else [late for _, late in self._leans]
        return round(median(strokes)) if strokes else 0

    def played_sec(self, place: int) -> float:
        """Return the second at which this drummer plays the written tick *place*."""
        return self.timeline.tick_to_sec(self.swung(place) + self.running_lean(place))

    def pushes(self, change: ChordChange) -> Iterator[int]:
        """Yield the written ticks of low notes in the last half-beat before *change* that take the next bass."""
        half = half_beat_ticks(self.timeline, change.tick - 1)
        before, after = change.before.chord, change.after.chord
        if before is None or after is None or before.bass.pc == after.bass.pc:
            return
        for _, note, place in self.accompaniment:
            is_low = note.hand is Hand.LEFT and note.role in (Role.KICK, Role.BASS)
            if is_low and change.tick - half <= place < change.tick and note.pitch % 12 == after.bass.pc:
                yield place

    def first_push(self, change: ChordChange) -> int:
        """Return the written tick from which the left hand has the chord after *change*, pushed or not."""
        return min(self.pushes(change), default=change.tick)

    def where(self, place: int) -> str:
        """Return where the written tick *place* is: bar and beat."""
        return self.timeline.format_position(place)


def half_beat_ticks(timeline: Timeline, tick: int) -> int:
    """Return half a felt beat at *tick*; uneven metres such as 7/8 are felt in pairs of their eighths."""
    metre = timeline.metre_at(tick)
    return metre.unit_ticks if metre.unit >= 8 and not metre.is_compound else metre.beat_ticks // 2


def swing(place: int, feel: Feel, timeline: Timeline) -> int:
    """Return the tick of the written *place* under *feel*: the first of a pair is longer, time runs evenly in each."""
    if feel.swing_ratio <= 1:
        return place
    unit = feel.swing_unit_ticks
    bar = timeline.bar_at(place)
    base = bar.start_tick if bar.number else bar.end_tick - bar.metre.bar_ticks
    pairs, inside = divmod(place - base, 2 * unit)
    long = 2 * unit * feel.swing_ratio / (1 + feel.swing_ratio)
    played = inside / unit * long if inside <= unit else long + (inside - unit) / unit * (2 * unit - long)
    return base + pairs * 2 * unit + round(played)


@cache
def chart_of(text: str) -> Chart:
    """Return the chart of *text*."""
    chart: Chart = parse_chart(text)
    return chart


def play(groove: Groove, chart: str, player: str = "ninth") -> Played:
    """Put *groove* through the whole job over *chart* for *player*."""
    part: Part = translate(groove, chart_of(chart), player=read_player(player))
    return Played(part, format_musicxml(make_sheet(part)))
