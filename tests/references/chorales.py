"""Helpers for the checks against four-part chorales: scores of music21's corpus as our notes and timelines."""

from __future__ import annotations

from typing import Any

from handgroove.timeline import Metre, MetreChange, TempoChange, Timeline
from tests.harmony.tones import Tone


def to_ticks(quarters: Any) -> int:
    """Return *quarters* (quarter notes) in ticks."""
    return round(float(quarters) * 960)


def score_tones(score: Any) -> list[Tone]:
    """Return every note of a music21 *score*."""
    return [
        Tone(to_ticks(note.offset), to_ticks(note.offset + note.quarterLength), int(pitch.midi))
        for note in score.flatten().notes
        for pitch in note.pitches
    ]


def score_timeline(score: Any) -> Timeline:
    """Return the metres and the pickup of a music21 *score*."""
    measures = list(score.parts[0].getElementsByClass("Measure"))
    first = measures[0]
    short = first.duration.quarterLength < first.barDuration.quarterLength
    metres = [
        MetreChange(
            to_ticks(measure.offset),
            Metre(measure.timeSignature.numerator, measure.timeSignature.denominator),
        )
        for measure in measures
        if measure.timeSignature
    ] or [MetreChange(0, Metre(4, 4))]
    pickup_ticks = to_ticks(first.duration.quarterLength) if short else 0
    return Timeline(tuple(metres), (TempoChange(0, 500_000),), to_ticks(score.highestTime), pickup_ticks)
