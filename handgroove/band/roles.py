"""What each track does in the band, told from its channel, program, name and notes, with how sure that is and why.

The weights are ours, tuned by ear on band files (no source). Programs are General MIDI's, counted from 0.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from handgroove.band.features import Edges, Features, doubled_share, find_features, near_ticks
from handgroove.band.tracks import Band, BandTrack


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
class Cast:
    """One track's *role*, how sure it is (*confidence*, 0 to 1), why, and which track it doubles, if it does."""

    track: BandTrack
    role: BandRole
    confidence: float
    reasons: tuple[str, ...]
    doubles: str = ""

    def __str__(self) -> str:
        sure = f"{self.confidence:.0%} sure" if self.confidence < 1 else "as you said"
        return f"{self.track.name}: {self.role} ({sure}; {', '.join(self.reasons)})"


@dataclass(frozen=True, slots=True)
class _Sign:
    """A word in a name or a range of programs that speaks for a role, with its weight."""

    words: str
    programs: tuple[range, ...]
    weight: float


_SIGNS: dict[BandRole, _Sign] = {
    BandRole.DRUMS: _Sign(r"drum|perc|kick|snare|hi-?hat|\bkit\b|beat|cymbal|\btoms?\b|shaker|conga", (), 0),
    BandRole.BASS: _Sign(r"bass(?!oon| drum| clar)|\bsub\b", (range(32, 40), range(43, 44), range(58, 59)), 3.0),
    BandRole.MELODY: _Sign(
        r"lead|melod|vocal|\bvox\b|voice|sing|\bsolo|tune|theme|\baria\b",
        (range(40, 42), range(56, 57), range(64, 80), range(80, 88), range(85, 86)),
        2.0,
    ),
    BandRole.COUNTER: _Sign(r"counter|riff|\bfills?\b|arp|hook|answer|lick|horn|brass", (), 1.2),
    BandRole.CHORDS: _Sign(
        r"piano|guit|gtr|keys|organ|rhodes|chord|comp|rhythm|clav|harp|banjo|uke|strum",
        (range(0, 9), range(15, 32)),
        1.0,
    ),
    BandRole.PAD: _Sign(r"pad|string|choir|ooh|aah|sweep|drone|warm", (range(48, 55), range(88, 96)), 1.6),
}  # fmt: skip


def find_roles(band: Band, said: Mapping[str, BandRole] | None = None) -> tuple[Cast, ...]:
    """Return what each of *band*'s tracks does, in their order; *said* (track name to role) is taken as it is."""
    said = said or {}
    sure = dict(said)
    pitched = [t for t in band.tracks if not _is_drums(band, t, sure)]
    edges = Edges(pitched, band.timeline.end_tick)
    features = {track.name: find_features(band, track, edges) for track in pitched}
    casts: dict[str, Cast] = {}
    for track in band.tracks:
        if track.name not in features:
            casts[track.name] = _drums(track, sure)
    scores = {track.name: _score(track, features[track.name]) for track in pitched if track.name not in sure}
    _choose_bass(pitched, scores, casts, sure)
    _choose_melody(pitched, features, scores, casts, sure)
    for track in pitched:
        if track.name in sure:
            casts[track.name] = Cast(track, sure[track.name], 1.0, ("your word",))
        elif track.name not in casts:
            casts[track.name] = _choose(track, scores[track.name])
    _find_doubles(band, pitched, features, casts, sure)
    return tuple(casts[track.name] for track in band.tracks)


def _is_drums(band: Band, track: BandTrack, sure: Mapping[str, BandRole]) -> bool:
    if track.name in sure:
        return sure[track.name] is BandRole.DRUMS
    if track.channel == 10:
        return True
    named = bool(re.search(_SIGNS[BandRole.DRUMS].words, track.name, re.IGNORECASE))
    kit = _kit_likeness(track)
    if named:
        return kit > 0.6
    return kit > 0.95 and not any(other.channel == 10 for other in band.tracks)


def _kit_likeness(track: BandTrack) -> float:
    """Return how much a track's notes look like a kit's: its usual numbers, struck short, kick or snare among them."""
    usual = {35, 36, 37, 38, 39, 40, 42, 44, 46, 49, 51, 57, 59, 41, 43, 45, 47, 48, 50, 53, 55}
    numbers = [note.pitch for note in track.notes]
    share = sum(number in usual for number in numbers) / len(numbers)
    backbone = {35, 36} & set(numbers) and {38, 40, 37, 39} & set(numbers)
    hats = {42, 44, 46, 51} & set(numbers)
    short = sum(note.length_ticks <= 480 for note in track.notes) / len(numbers)
    return share * short if backbone and hats else 0.7 * share * short


def _drums(track: BandTrack, sure: Mapping[str, BandRole]) -> Cast:
    if track.name in sure:
        return Cast(track, BandRole.DRUMS, 1.0, ("your word",))
    if track.channel == 10:
        return Cast(track, BandRole.DRUMS, 0.98, ("channel 10",))
    named = re.search(_SIGNS[BandRole.DRUMS].words, track.name, re.IGNORECASE)
    reasons = ("its name",) if named else ()
    return Cast(track, BandRole.DRUMS, 0.9 if named else 0.7, (*reasons, "its notes are a kit's numbers"))


Score = tuple[float, tuple[str, ...]]


def _score(track: BandTrack, f: Features) -> dict[BandRole, Score]:
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
        sign = _SIGNS[role]
        if re.search(sign.words, track.name, re.IGNORECASE):
            held.insert(0, (sign.weight + 0.6, "its name"))
        if track.program is not None and any(track.program in span for span in sign.programs):
            held.append((0.7 * sign.weight, "its program"))
        scores[role] = (sum(w for w, _ in held), tuple(why for w, why in held if w > 0 and why))
    return scores


def _sure_of(scores: Mapping[BandRole, Score], role: BandRole) -> float:
    """Return how sure *role* is beside the best other one, 0.5 where they are even."""
    rival = max((score for other, (score, _) in scores.items() if other is not role), default=0.0)
    margin = scores[role][0] - rival
    return round(min(0.98, max(0.2, 0.5 + margin / 8)), 2)


def _choose(track: BandTrack, scores: Mapping[BandRole, Score]) -> Cast:
    """Return the role of a track that is neither bass nor melody: the one with most in its favour."""
    roles = (BandRole.COUNTER, BandRole.CHORDS, BandRole.PAD)
    role = max(roles, key=lambda one: scores[one][0])
    return Cast(
        track, role, _sure_of({r: scores[r] for r in roles}, role), scores[role][1] or ("the likeliest",)
    )


def _choose_bass(
    tracks: list[BandTrack],
    scores: Mapping[str, dict[BandRole, Score]],
    casts: dict[str, Cast],
    sure: Mapping[str, BandRole],
) -> None:
    """Cast the bass: the best of those with enough in their favour, and others as good that play elsewhere."""
    if BandRole.BASS in sure.values():
        return
    ranked = sorted(
        (t for t in tracks if t.name not in sure), key=lambda t: -scores[t.name][BandRole.BASS][0]
    )
    for track in ranked:
        score, reasons = scores[track.name][BandRole.BASS]
        if score < 3.0 or any(
            _overlap(track, cast.track) > 0.3 for cast in casts.values() if cast.role is BandRole.BASS
        ):
            continue
        casts[track.name] = Cast(track, BandRole.BASS, _sure_of(scores[track.name], BandRole.BASS), reasons)


def _choose_melody(
    tracks: list[BandTrack],
    features: Mapping[str, Features],
    scores: Mapping[str, dict[BandRole, Score]],
    casts: dict[str, Cast],
    sure: Mapping[str, BandRole],
) -> None:
    """Cast the melody: the best by far or by name; none where nothing is a tune."""
    if BandRole.MELODY in sure.values():
        return
    free = [t for t in tracks if t.name not in sure and t.name not in casts]
    if not free:
        return

    # Coverage tells the tune from an answer: of two lines the one that sings longer leads.
    def worth(track: BandTrack) -> float:
        f = features[track.name]
        return scores[track.name][BandRole.MELODY][0] + 1.5 * min(1.0, f.coverage) + (f.velocity - 80) / 60

    track = max(free, key=worth)
    score, reasons = scores[track.name][BandRole.MELODY]
    if score < 2.0:
        return
    rivals = [worth(other) for other in free if other is not track]
    margin = worth(track) - max(rivals, default=0.0)
    confidence = round(min(0.98, max(0.25, 0.5 + margin / 6)), 2)
    casts[track.name] = Cast(track, BandRole.MELODY, confidence, reasons)


def _overlap(track: BandTrack, other: BandTrack) -> float:
    """Return the share of *track*'s notes that start while *other* is about: within a bar of its notes."""
    near = {note.tick // 3840 for note in other.notes}
    return sum(note.tick // 3840 in near for note in track.notes) / len(track.notes)


def _find_doubles(
    band: Band,
    tracks: list[BandTrack],
    features: Mapping[str, Features],
    casts: dict[str, Cast],
    sure: Mapping[str, BandRole],
) -> None:
    """Recast what only doubles another track, melody and bass before others, the fuller before the thinner."""
    order = list(BandRole)
    slack = near_ticks(band)
    leaders = sorted(tracks, key=lambda t: (order.index(casts[t.name].role), -len(t.notes), t.number))
    for place, track in enumerate(leaders):
        cast = casts[track.name]
        if track.name in sure or cast.role in (BandRole.MELODY, BandRole.BASS):
            continue
        for other in leaders[:place]:
            if casts[other.name].role is BandRole.DOUBLE:
                continue
            share = doubled_share(track, other, slack)
            alike = abs(features[track.name].polyphony - features[other.name].polyphony) < 0.8
            held = features[track.name].length / max(0.05, features[other.name].length)
            if share >= 0.85 and alike and 0.6 < held < 1.7:
                why = f"{share:.0%} of its notes are {other.name}'s"
                casts[track.name] = Cast(
                    track, BandRole.DOUBLE, round(min(0.98, share), 2), (why,), other.name
                )
                break
