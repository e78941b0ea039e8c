"""What can be counted of a track: how high, how many at once, how dense, how long, how often on top or at the bottom.

Pitches are MIDI note numbers, times in ticks; shares run from 0 to 1.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from handgroove.band.read.tracks import Band, BandNote, BandTrack, clusters

NEAR_SEC = 0.05  # onsets closer than this are one chord (see Repp, 1996, on how far played chords spread)
_SLOT_TICKS = 480  # half a beat


@dataclass(frozen=True, slots=True)
class Features:
    """One track counted.

    *polyphony* is the mean number of notes that sound at an onset, *solo_share* the share of onsets that are one note
    alone, *density* onsets a second while it plays, *length* the median length in quarters, *coverage* the share of
    bars that it plays in, *top_share* and *bottom_share* how much of its time it is the highest or lowest of all,
    *pitches* how many it has, *variety* the share of onsets that move on from the one before.
    """

    mean_pitch: float
    polyphony: float
    solo_share: float
    density: float
    length: float
    coverage: float
    top_share: float
    bottom_share: float
    pitches: int
    variety: float
    velocity: float


def near_ticks(band: Band) -> int:
    """Return `NEAR_SEC` in ticks at the band's first tempo (at most a thirty-second note)."""
    return min(120, round(NEAR_SEC * band.timeline.tempo_at(0) * 16))


def find_features(band: Band, track: BandTrack, edges: Edges) -> Features:
    """Count *track* beside the rest of the *band*, whose *edges* (highest and lowest by beat) are given."""
    notes = track.notes
    groups = clusters(notes, near_ticks(band))
    bars = {band.timeline.bar_at(group[0].tick).number for group in groups}
    all_bars = max(1, sum(1 for _ in band.timeline.bars()))
    seconds = _seconds(band, sorted(bars))
    alone = sum(len(group) == 1 for group in groups)
    top, bottom = edges.shares(notes)
    return Features(
        mean_pitch=sum(note.pitch for note in notes) / len(notes),
        polyphony=_polyphony(groups),
        solo_share=alone / len(groups),
        density=len(groups) / max(0.1, seconds),
        length=median(note.length_ticks for note in notes) / 960,
        coverage=len(bars) / all_bars,
        top_share=top,
        bottom_share=bottom,
        pitches=len({note.pitch for note in notes}),
        variety=_variety(groups),
        velocity=sum(note.velocity for note in notes) / len(notes),
    )


def _seconds(band: Band, numbers: Sequence[int]) -> float:
    """Return how many seconds the bars of these *numbers* last in all."""
    total = 0.0
    for number in numbers:
        bar = band.timeline.bar_at(band.timeline.bar_start(number))
        total += band.timeline.tick_to_sec(bar.end_tick) - band.timeline.tick_to_sec(bar.start_tick)
    return total


def _polyphony(groups: Sequence[Sequence[BandNote]]) -> float:
    """Return how many notes sound at an onset, on average; tails under a sixteenth don't count."""
    sounding: list[int] = []
    total = 0
    for group in groups:
        tick = group[0].tick
        sounding = [end for end in sounding if end > tick + 240]
        total += len(sounding) + len(group)
        sounding += [note.end_tick for note in group]
    return total / len(groups) if groups else 0.0


def _variety(groups: Sequence[Sequence[BandNote]]) -> float:
    """Return the share of onsets whose top note is not the one before: a tune moves, a pulse repeats."""
    tops = [max(note.pitch for note in group) for group in groups]
    moves = sum(a != b for a, b in pairwise(tops))
    return moves / max(1, len(tops) - 1)


class Edges:
    """The highest and lowest pitch of all tracks together, by half beat."""

    def __init__(self, tracks: Sequence[BandTrack], end_tick: int) -> None:
        count = end_tick // _SLOT_TICKS + 2
        self.high = [-1] * count
        self.low = [128] * count
        for track in tracks:
            for note in track.notes:
                for slot in self._slots(note):
                    if slot < count:
                        self.high[slot] = max(self.high[slot], note.pitch)
                        self.low[slot] = min(self.low[slot], note.pitch)

    def _slots(self, note: BandNote) -> range:
        first = (note.tick + _SLOT_TICKS // 4) // _SLOT_TICKS
        last = max(first, (note.end_tick - _SLOT_TICKS // 4) // _SLOT_TICKS)
        return range(first, last + 1)

    def shares(self, notes: Sequence[BandNote]) -> tuple[float, float]:
        """Return in which share of the slots that *notes* sound in they are the highest, and the lowest, of all."""
        high: dict[int, int] = {}
        low: dict[int, int] = {}
        for note in notes:
            for slot in self._slots(note):
                high[slot] = max(high.get(slot, -1), note.pitch)
                low[slot] = min(low.get(slot, 128), note.pitch)
        inside = [slot for slot in high if slot < len(self.high)]
        if not inside:
            return 0.0, 0.0
        top = sum(high[slot] >= self.high[slot] for slot in inside)
        bottom = sum(low[slot] <= self.low[slot] for slot in inside)
        return top / len(inside), bottom / len(inside)


def doubled_share(track: BandTrack, other: BandTrack, slack_ticks: int) -> float:
    """Return the share of *track*'s notes that *other* plays too, at the same time, in any octave."""
    ticks, notes = other.ticks, other.notes
    found = 0
    for note in track.notes:
        index = bisect_right(ticks, note.tick - slack_ticks - 1)
        while index < len(notes) and notes[index].tick <= note.tick + slack_ticks:
            if (notes[index].pitch - note.pitch) % 12 == 0:
                found += 1
                break
            index += 1
    return found / len(track.notes)
