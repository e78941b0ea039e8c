"""What an arranger has on the desk before writing: lines, chords as hands hold them, and how dense it is to be."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from itertools import pairwise

from handgroove.band.read.density import Chords, Density
from handgroove.band.read.features import near_ticks
from handgroove.band.read.roles import BandRole
from handgroove.band.read.song_form import Form
from handgroove.band.write.lines import BandLine, LineNote
from handgroove.hands.player import Player
from handgroove.harmony.chart import ChordSpan, Harmony
from handgroove.harmony.chord import Chord
from handgroove.harmony.voice.low_notes import plan_low
from handgroove.harmony.voice.voicing_settings import HarmonySettings
from handgroove.harmony.voice.voicings import plan_voicings
from handgroove.timeline import Timeline


class LeftStyle(StrEnum):
    """What the left hand mostly does in a section."""

    DRUMS = "plays kick and snare on the bass line's notes"
    WALK = "walks with the bass"
    PUMP = "pumps the bass's eighths"
    BASS = "plays the bass line"


@dataclass(frozen=True)
class Sketch:
    """All that the two hands are written from. *tune* is the melody and what fills its rests, one note at a time.

    Whatever is asked of it is asked of written ticks: the *place* at which a stroke is meant.
    """

    form: Form
    player: Player
    density: Density
    chords: Chords
    melody: BandLine
    bass: BandLine
    tune: BandLine
    voicings: tuple[tuple[int, ...], ...]
    lows: tuple[int, ...]
    left_styles: dict[str, LeftStyle] = field(default_factory=dict)

    @property
    def timeline(self) -> Timeline:
        """Return the band's bars and tempos."""
        return self.form.band.timeline

    def per_sec(self, tick: int) -> float:
        """Return how many ticks a second has at *tick*."""
        return self.timeline.tempo_at(tick) * 16

    @property
    def harmony(self) -> Harmony:
        """Return the chords."""
        return self.form.harmony

    def heard(self, tick: int) -> int:
        """Return when the file has what stands at *tick* here, the players' common lean put back."""
        return tick + self.form.reading.lean_ticks

    def chord_at(self, place: int) -> Chord | None:
        """Return the chord that a stroke meant at *place* belongs to."""
        return self.harmony.at(place).chord

    def voicing_at(self, place: int) -> tuple[int, ...]:
        """Return the right hand's chord for a stroke meant at *place*."""
        return self.voicings[self.harmony.index_at(place)]

    def low_at(self, place: int) -> int:
        """Return the left hand's low note for a stroke meant at *place*: the bass's if it sounds, or the chord's."""
        note = self.bass.at(place)
        return note.pitch if note else self.lows[self.harmony.index_at(place)]

    def held_at(self, place: int, tick: int) -> LineNote | None:
        """Return the tune's note that goes on when something meant at *place* is struck at *tick*; tails are over."""
        note = self.tune.at(place)
        return note if note is not None and note.end_tick - tick > self._tail_ticks else None

    @cached_property
    def _tail_ticks(self) -> int:
        """Return how much of a note may be left to sound when it counts as over: fingers are lifted a little late."""
        return near_ticks(self.form.band)

    def is_strong(self, place: int) -> bool:
        """Return whether *place* is the bar's first beat or, where the bar halves, its middle."""
        bar = self.timeline.bar_at(place)
        halves = bar.length_ticks % (2 * bar.metre.beat_ticks) == 0
        return (place - bar.start_tick) % (bar.length_ticks // 2 if halves else bar.length_ticks) == 0

    def left_style(self, place: int) -> LeftStyle:
        """Return what the left hand mostly does in the section of *place*."""
        return self.left_styles.get(self.form.section_at(place).letter, LeftStyle.DRUMS)


def plan_chords(
    form: Form, settings: HarmonySettings, tune: BandLine, bass: BandLine
) -> tuple[tuple[tuple[int, ...], ...], tuple[int, ...]]:
    """Return the right hand's chord and the left's low note for each span, alike in every round of a section.

    Chords stay under the lowest note that *tune* has while they hold, and low notes in the octave of the *bass*.
    """
    harmony = form.harmony
    ceilings: list[int | None] = []
    for span in harmony.spans:
        pitches = [note.pitch for note in tune.between(span.start_tick, span.end_tick)]
        ceilings.append(max(58, min(pitches) - 2) if pitches else None)
    voicings = list(plan_voicings(harmony, settings, ceilings))
    lows = [
        _with_bass(low, span, bass)
        for low, span in zip(plan_low(harmony, settings), harmony.spans, strict=True)
    ]
    first: dict[tuple[str, int, str], int] = {}
    for index, span in enumerate(harmony.spans):
        section = form.section_at(span.start_tick)
        symbol = span.chord.symbol if span.chord else ""
        place = (section.letter, span.start_tick - section.start_tick, symbol)
        model = first.setdefault(place, index)
        ceiling = ceilings[index]
        if model != index and (ceiling is None or not voicings[model] or voicings[model][-1] <= ceiling):
            voicings[index], lows[index] = voicings[model], lows[model]
    return tuple(voicings), tuple(lows)


def _with_bass(low: int, span: ChordSpan, bass: BandLine) -> int:
    """Return *low* in the octave in which *bass* plays it during *span*, if it does."""
    played = (n.pitch for n in bass.between(span.start_tick, span.end_tick) if n.pitch % 12 == low % 12)
    return next(played, low)


def find_left_styles(form: Form, bass: BandLine) -> dict[str, LeftStyle]:
    """Return what the left hand does in each letter's sections, by how the bass goes there.

    A bass that moves on nearly every beat walks; one that repeats nearly every eighth pumps.
    """
    found: dict[str, LeftStyle] = {}
    has_drums = any(cast.role is BandRole.DRUMS for cast in form.casts)
    for section in form.sections:
        if section.letter in found:
            continue
        notes = bass.between(section.start_tick, section.end_tick)
        bars = max(1, section.last_bar - section.first_bar + 1)
        beats = bars * max(1, round((section.end_tick - section.start_tick) / bars / 960))
        moves = sum(a.pitch != b.pitch for a, b in pairwise(notes))
        per_beat = len(notes) / beats
        swung = form.groove.feel.swing_ratio >= 1.3
        if 0.8 <= per_beat <= 1.3 and moves >= 0.8 * len(notes) and (swung or not has_drums):
            found[section.letter] = LeftStyle.WALK
        elif per_beat >= 1.6 and moves < 0.4 * len(notes):
            found[section.letter] = LeftStyle.PUMP
        else:
            found[section.letter] = LeftStyle.DRUMS if has_drums else LeftStyle.BASS
    return found


def merge_lines(*lines: BandLine) -> BandLine:
    """Return *lines* as one, each note ended where the next of any begins; of two at once the earlier line's stays."""
    ranked = sorted(
        ((note, rank) for rank, line in enumerate(lines) for note in line.notes),
        key=lambda item: (item[0].place, item[1], item[0].tick),
    )
    kept: list[LineNote] = []
    first: dict[int, int] = {}  # the line that has a place
    for note, rank in ranked:
        if first.setdefault(note.place, rank) == rank:
            if kept:
                kept[-1] = kept[-1].until(note)
            kept.append(note)
    return BandLine(kept)
