"""What an arranger has on the desk before writing: lines, chords as hands hold them, and how dense it is to be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import cached_property
from itertools import pairwise

from handgroove.band.read.density import Chords, Density
from handgroove.band.read.features import near_ticks
from handgroove.band.read.roles import BandRole, Cast
from handgroove.band.read.song_form import Form
from handgroove.band.read.tracks import Band
from handgroove.band.write.lines import BandLine, LineNote
from handgroove.hands.player import Player
from handgroove.harmony.chart import ChordSpan, Harmony
from handgroove.harmony.chord import Chord
from handgroove.harmony.voice.low_notes import plan_low
from handgroove.harmony.voice.voicing_settings import HarmonySettings
from handgroove.harmony.voice.voicings import plan_voicings


class LeftStyle(StrEnum):
    """What the left hand mostly does in a section."""

    DRUMS = "plays kick and snare on the bass line's notes"
    WALK = "walks with the bass"
    PUMP = "pumps the bass's eighths"
    BASS = "plays the bass line"


@dataclass(frozen=True)
class Sketch:
    """All that the two hands are written from. *tune* is the melody and what fills its rests, one note at a time."""

    band: Band
    casts: Sequence[Cast]
    form: Form
    player: Player
    density: Density
    chords: Chords
    melody: BandLine
    hooks: BandLine
    bass: BandLine
    tune: BandLine
    voicings: tuple[tuple[int, ...], ...]
    lows: tuple[int, ...]
    left_styles: dict[str, LeftStyle] = field(default_factory=dict)

    @cached_property
    def near(self) -> int:
        """Return how many ticks apart two onsets may be and still be one."""
        return near_ticks(self.band)

    @property
    def harmony(self) -> Harmony:
        """Return the chords."""
        return self.form.harmony

    def chord_at(self, tick: int) -> Chord | None:
        """Return the chord that a stroke at *tick* belongs to (a hair early is still the next one)."""
        return self.harmony.at(tick + self.near).chord

    def voicing_at(self, tick: int) -> tuple[int, ...]:
        """Return the right hand's chord for a stroke at *tick*."""
        return self.voicings[self.harmony.index_at(tick + self.near)]

    def low_at(self, tick: int) -> int:
        """Return the left hand's low note for a stroke at *tick*: the bass's where it sounds, else the chord's."""
        note = self.bass.at(tick, self.near)
        return note.pitch if note else self.lows[self.harmony.index_at(tick + self.near)]

    def held_at(self, tick: int) -> LineNote | None:
        """Return the tune's note that goes on at *tick*; one that ends within a hair of it is over."""
        note = self.tune.at(tick)
        return note if note is not None and note.end_tick - tick > self.near else None

    def is_strong(self, tick: int) -> bool:
        """Return whether *tick* falls on the bar's first beat or, where the bar halves, its middle."""
        bar = self.band.timeline.bar_at(tick + self.near)
        offset = abs(tick - bar.start_tick)
        half = (
            bar.length_ticks // 2 if bar.length_ticks % (2 * bar.metre.beat_ticks) == 0 else bar.length_ticks
        )
        rest = offset % half
        return min(rest, half - rest) <= self.near

    def left_style(self, tick: int) -> LeftStyle:
        """Return what the left hand mostly does in the section of *tick*."""
        return self.left_styles.get(self.form.section_at(tick).letter, LeftStyle.DRUMS)


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
        place = (section.letter, (span.start_tick - section.start_tick + 240) // 480, symbol)
        model = first.setdefault(place, index)
        ceiling = ceilings[index]
        if model != index and (ceiling is None or not voicings[model] or voicings[model][-1] <= ceiling):
            voicings[index], lows[index] = voicings[model], lows[model]
    return tuple(voicings), tuple(lows)


def _with_bass(low: int, span: ChordSpan, bass: BandLine) -> int:
    """Return *low* in the octave in which *bass* plays it during *span*, if it does."""
    played = (
        n.pitch for n in bass.between(span.start_tick - 60, span.end_tick - 60) if n.pitch % 12 == low % 12
    )
    return next(played, low)


def find_left_styles(form: Form, bass: BandLine, *, has_drums: bool) -> dict[str, LeftStyle]:
    """Return what the left hand does in each letter's sections, by how the bass goes there.

    A bass that moves on nearly every beat walks; one that repeats nearly every eighth pumps.
    """
    found: dict[str, LeftStyle] = {}
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
        key=lambda item: (item[0].tick, item[1]),
    )
    kept: list[LineNote] = []
    for note, _ in ranked:
        if kept and note.tick - kept[-1].tick < 30:
            continue
        if kept and kept[-1].end_tick > note.tick:
            kept[-1] = replace(kept[-1], length_ticks=note.tick - kept[-1].tick)
        kept.append(note)
    return BandLine(kept)


def has_drums(casts: Sequence[Cast]) -> bool:
    """Return whether any track is drums."""
    return any(cast.role is BandRole.DRUMS for cast in casts)
