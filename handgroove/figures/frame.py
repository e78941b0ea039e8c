"""The frame of a figure: for each onset what may be sung there and what each pitch costs, whatever the path.

Pitches are MIDI note numbers. A frame is made once for a fill; the search and the explanation both read it, so that
what is told is what was weighed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from statistics import fmean

from handgroove.figures.figure_costs import (
    ACCENT_OFF_CHORD,
    BEAT_OFF_CHORD,
    CONTOUR_FREE,
    CONTOUR_LITERAL,
    LEVEL_SPAN,
    NEAR_TARGET,
    OUT_OF_SCALE,
    OVER_EDGE,
    landing_tone_cost,
)
from handgroove.figures.figure_settings import Contour, FigureSettings
from handgroove.figures.line import Onset
from handgroove.harmony.chord import Chord, Key
from handgroove.harmony.symbols.scales import key_pcs, scale_in_key

LANDINGS = 3
SLOPE = 7.0  # semitones that a one-drum fill rises or falls on its way to the landing
COMFORT = 9  # semitones around the middle of the range that cost nothing
LOUDER = 6  # velocity: a second half this much louder than the first is a crescendo


@dataclass(frozen=True)
class Frame:
    """All that the search needs: *onsets*, the *chords* under them, *ladders* of pitches, and where it may land.

    *landings* are the pitches to land on (empty where nothing is known of the landing) over *landing_chord*; *levels*
    are the drums' ranks by height. *seconds* are the times between onsets (the last to the landing).
    """

    onsets: tuple[Onset, ...]
    chords: tuple[Chord, ...]
    ladders: tuple[tuple[int, ...], ...]
    levels: tuple[int, ...]
    landings: tuple[int, ...]
    landing_chord: Chord | None
    seconds: tuple[float, ...]
    settings: FigureSettings
    key: Key | None = None

    def target(self, index: int, landing: int) -> float:
        """Return the pitch that the drum of onset *index* stands for, when the figure lands on *landing*."""
        last = self.levels[-1]
        if self._is_one_drum:
            share = 1 - index / len(self.levels)
            return landing + self.slant * (1.5 + SLOPE * share)
        return landing + 2 * self.slant + LEVEL_SPAN * (self.levels[index] - last)

    @cached_property
    def _is_one_drum(self) -> bool:
        return len(set(self.levels)) == 1

    @cached_property
    def slant(self) -> int:
        """Return 1 where the drums lead down to the landing, -1 where they lead up."""
        return _slant(self.onsets, self.levels)

    @cached_property
    def _pcs(self) -> list[tuple[tuple[int, ...], frozenset[int]]]:
        """Return the pitch classes of each onset's chord: its tones and its scale."""
        return [(chord.tone_pcs, _scale_pcs(chord, None)) for chord in self.chords]

    def contour_cost(self, index: int, pitch: int, landing: int) -> float:
        """Return what it costs to sing *pitch* where the drum stands for another height."""
        rate = CONTOUR_LITERAL if self.settings.contour is Contour.LITERAL else CONTOUR_FREE
        return rate * max(0.0, abs(pitch - self.target(index, landing)) - NEAR_TARGET)

    def chord_cost(self, index: int, pitch: int) -> float:
        """Return what a note outside the chord costs: most on accents, something on a beat; more outside the scale."""
        tone_pcs, scale_pcs = self._pcs[index]
        onset, pc = self.onsets[index], pitch % 12
        if pc in tone_pcs:
            return 0.0
        cost = ACCENT_OFF_CHORD * onset.accent if onset.accent >= 0.8 else BEAT_OFF_CHORD * onset.new_group
        if pc not in scale_pcs:
            cost += OUT_OF_SCALE * self.settings.tonal
        return cost

    def range_cost(self, pitch: int) -> float:
        """Return what a pitch near the edges of the range costs."""
        middle = (self.settings.lowest + self.settings.highest) / 2
        return OVER_EDGE * 0.2 * max(0.0, abs(pitch - middle) - COMFORT)

    @cached_property
    def _rows(self) -> dict[tuple[int, float, float], list[float]]:
        """Return the rows of costs that were asked for so far; few of them differ."""
        return {}

    def own_costs(self, index: int) -> list[float]:
        """Return what each pitch of onset *index*'s ladder costs wherever the figure lands."""
        onset = self.onsets[index]
        key = id(self.chords[index]), onset.accent, onset.new_group - 1.0  # below any target
        if key not in self._rows:
            ladder = self.ladders[index]
            self._rows[key] = [self.chord_cost(index, pitch) + self.range_cost(pitch) for pitch in ladder]
        return self._rows[key]

    def contour_costs(self, index: int, landing: int) -> list[float]:
        """Return what each pitch of onset *index*'s ladder costs beside its drum's height."""
        key = id(self.chords[index]), -1.0, self.target(index, landing)
        if key not in self._rows:
            ladder = self.ladders[index]
            self._rows[key] = [self.contour_cost(index, pitch, landing) for pitch in ladder]
        return self._rows[key]

    def landing_cost(self, landing: int) -> float:
        """Return what it costs to land on this tone of the landing chord."""
        if self.landing_chord is None:
            return 0.0
        return landing_tone_cost(landing - self.landing_chord.root.pc)


def _slant(onsets: Sequence[Onset], levels: Sequence[int]) -> int:
    half = max(1, len(levels) // 2)
    early, late = fmean(levels[:half]), fmean(levels[half:] or levels)
    if early != late:
        return 1 if early > late else -1
    soft = fmean(onset.velocity for onset in onsets[:half])
    loud = fmean(onset.velocity for onset in onsets[half:] or onsets)
    return -1 if loud - soft > LOUDER else 1


@lru_cache(maxsize=256)
def _scale_pcs(chord: Chord, key: Key | None) -> frozenset[int]:
    steps = scale_in_key(chord, key) if key else chord.scale
    return frozenset((chord.root.pc + step) % 12 for step in (*steps, *chord.tones, *chord.tensions))


def make_frame(
    onsets: Sequence[Onset],
    chords: Sequence[Chord],
    key: Key | None,
    landing_chord: Chord | None,
    seconds: Sequence[float],
    settings: FigureSettings,
    landing_pitch: int | None = None,
) -> Frame:
    """Make the frame of a fill; *landing_pitch* is the tune's first note, where the figure must lead to one."""
    ladders = tuple(_ladder(chord, key, settings) for chord in chords)
    heights = sorted({onset.height for onset in onsets})
    levels = tuple(heights.index(onset.height) for onset in onsets)
    landings = (
        (landing_pitch,) if landing_pitch else _choose_landings(onsets, levels, landing_chord, settings)
    )
    return Frame(
        tuple(onsets), tuple(chords), ladders, levels, landings, landing_chord, tuple(seconds), settings, key
    )


def _ladder(chord: Chord, key: Key | None, settings: FigureSettings) -> tuple[int, ...]:
    """Return the pitches of the range that may be sung over *chord*: its scale, or all where tonality is free."""
    pitches = range(settings.lowest, settings.highest + 1)
    if settings.tonal < 0.5:
        return tuple(pitches)
    pcs = _scale_pcs(chord, key)
    if len(pcs) < 5 and key is not None:
        pcs |= key_pcs(key)
    return tuple(pitch for pitch in pitches if pitch % 12 in pcs)


def _choose_landings(
    onsets: Sequence[Onset], levels: Sequence[int], chord: Chord | None, settings: FigureSettings
) -> tuple[int, ...]:
    """Return the chord tones to land on: low where the drums lead down, high where they lead up."""
    if chord is None:
        return ()
    low, high = settings.lowest, settings.highest
    span = LEVEL_SPAN * (max(levels) - min(levels)) if len(set(levels)) > 1 else SLOPE
    middle = (low + high) / 2
    aim = middle - span / 2 if _slant(onsets, levels) > 0 else middle + span / 2
    tones = [pitch for pitch in range(low, high + 1) if pitch % 12 in chord.tone_pcs]
    ranked = sorted(tones, key=lambda p: (0.35 * abs(p - aim) + landing_tone_cost(p - chord.root.pc), p))
    return tuple(ranked[:LANDINGS])
