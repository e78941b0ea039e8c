"""What each track does in the band, told from its channel, program, name and notes, with how sure that is and why."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from handgroove.band.read.features import Edges, Features, doubled_share, find_features, near_ticks
from handgroove.band.read.role_signs import SIGNS, BandRole, Score, score_roles
from handgroove.band.read.tracks import Band, BandTrack

__all__ = ["BandRole", "Cast", "find_roles"]


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
    scores = {
        track.name: score_roles(track, features[track.name]) for track in pitched if track.name not in sure
    }
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
    named = bool(re.search(SIGNS[BandRole.DRUMS].words, track.name, re.IGNORECASE))
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
    named = re.search(SIGNS[BandRole.DRUMS].words, track.name, re.IGNORECASE)
    reasons = ("its name",) if named else ()
    return Cast(track, BandRole.DRUMS, 0.9 if named else 0.7, (*reasons, "its notes are a kit's numbers"))


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
