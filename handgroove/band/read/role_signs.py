"""What speaks for each role that a track can have: words in its name, its program, and what is counted of its notes.

The weights are ours, tuned by ear on band files (no source). Programs are General MIDI's, counted from 0.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from handgroove.band.read.features import Features
from handgroove.band.read.tracks import BandTrack


class BandRole(StrEnum):
    """What a track does in the band."""

    DRUMS = "drums"
    BASS = "bass"
    MELODY = "melody"
    COUNTER = "counter-line"
    CHORDS = "chords"
    PAD = "pad"
    DOUBLE = "double"
    UNUSED = "left out"


@dataclass(frozen=True, slots=True)
class Sign:
    """A word in a name or a range of programs that speaks for a role, with its weight."""

    words: str
    programs: tuple[range, ...]
    weight: float


SIGNS: dict[BandRole, Sign] = {
    BandRole.DRUMS: Sign(r"drum|perc|kick|snare|hi-?hat|\bkit\b|beat|cymbal|\btoms?\b|shaker|conga", (), 0),
    BandRole.BASS: Sign(r"bass(?!oon| drum| clar)|\bsub\b", (range(32, 40), range(43, 44), range(58, 59)), 3.0),
    BandRole.MELODY: Sign(
        r"lead|melod|vocal|\bvox\b|voice|sing|\bsolo|tune|theme|\baria\b",
        (range(40, 42), range(56, 57), range(64, 80), range(80, 88), range(85, 86)),
        2.0,
    ),
    BandRole.COUNTER: Sign(r"counter|riff|\bfills?\b|arp|hook|answer|lick|horn|brass", (), 1.2),
    BandRole.CHORDS: Sign(
        r"piano|guit|gtr|keys|organ|rhodes|chord|comp|rhythm|clav|harp|banjo|uke|strum",
        (range(0, 9), range(15, 32)),
        1.0,
    ),
    BandRole.PAD: Sign(r"pad|string|choir|ooh|aah|sweep|drone|warm", (range(48, 55), range(88, 96)), 1.6),
}  # fmt: skip


Score = tuple[float, tuple[str, ...]]


def score_roles(track: BandTrack, f: Features) -> dict[BandRole, Score]:
    """Return what speaks for each role, and in which words."""
    mono = f.polyphony < 1.3
    rules: dict[BandRole, list[tuple[bool, float, str]]] = {
        BandRole.BASS: [
            (f.bottom_share > 0.8, 2.0, "it is the lowest"),
            (f.mean_pitch < 48, 2.0, "it lies low"),
            (mono, 0.6, "one note at a time"),
            (f.mean_pitch > 55, -4.0, ""),
            (f.polyphony > 1.6, -2.0, ""),
        ],
        BandRole.MELODY: [
            (f.top_share > 0.6, 1.5, "it is on top"),
            (mono, 1.5, "one note at a time"),
            (f.solo_share > 0.85 and not mono, 0.6, "mostly one note at a time"),
            (f.variety > 0.6, 1.0, "it moves like a tune"),
            (60 <= f.mean_pitch <= 84, 0.8, "it lies where tunes lie"),
            (0.25 < f.coverage < 0.97, 0.5, "it breathes"),
            (0.6 < f.density < 5, 0.4, ""),
            (f.coverage < 0.15, -1.5, ""),
            (f.mean_pitch < 52, -2.5, ""),
            (f.pitches < 4, -2.0, ""),
            (f.polyphony > 2.2, -2.0, ""),
            (f.length > 3, -1.0, ""),
        ],
        BandRole.COUNTER: [
            (mono, 1.6, "one note at a time"),
            (f.coverage < 0.4, 0.8, "it comes and goes"),
            (f.variety > 0.6, 0.4, "it moves"),
        ],
        BandRole.CHORDS: [
            (f.polyphony >= 1.8, 1.8, "several notes at once"),
            (f.length < 1.5, 0.6, "short"),
            (f.coverage > 0.6, 0.4, "it plays nearly throughout"),
            (f.polyphony < 1.3, -1.5, ""),
        ],
        BandRole.PAD: [
            (f.length >= 1.5, 2.0, "long notes"),
            (f.polyphony >= 1.5, 0.8, "several notes at once"),
            (f.density < 1, 0.4, "it moves seldom"),
            (f.length < 0.8, -2.0, ""),
        ],
    }
    scores: dict[BandRole, Score] = {}
    for role, items in rules.items():
        held = [(weight, why) for holds, weight, why in items if holds]
        sign = SIGNS[role]
        if re.search(sign.words, track.name, re.IGNORECASE):
            held.insert(0, (sign.weight + 0.6, "its name"))
        if track.program is not None and any(track.program in span for span in sign.programs):
            held.append((0.7 * sign.weight, "its program"))
        scores[role] = (sum(w for w, _ in held), tuple(why for w, why in held if w > 0 and why))
    return scores
