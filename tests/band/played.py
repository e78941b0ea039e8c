"""Bands played otherwise than their files say: after a bar of silence, as a whole earlier or later, and by people."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace

from handgroove.band.read.tracks import Band, BandNote, cut_timeline
from handgroove.timeline import MetreChange, TempoChange

Move = Callable[[BandNote], int]


def move_notes(band: Band, move: Move) -> Band:
    """Return *band* with each note where *move* puts it, as a reader of its file would have it."""
    tracks = tuple(
        replace(
            track,
            notes=tuple(
                sorted(
                    (replace(note, tick=max(0, move(note))) for note in track.notes),
                    key=lambda note: (note.tick, note.pitch),
                )
            ),
        )
        for track in band.tracks
    )
    return replace(band, tracks=tracks, timeline=cut_timeline(band.timeline, tracks))


def lead_in(band: Band) -> Band:
    """Return *band* after a bar of silence."""
    old = band.timeline
    bar = old.metres[0].metre.bar_ticks
    timeline = replace(
        old,
        metres=tuple(MetreChange(one.tick + bar if one.tick else 0, one.metre) for one in old.metres),
        tempos=tuple(TempoChange(one.tick + bar if one.tick else 0, one.quarter_us) for one in old.tempos),
    )
    markers = tuple(replace(marker, tick=marker.tick + bar) for marker in band.markers)
    return move_notes(replace(band, timeline=timeline, markers=markers), lambda note: note.tick + bar)


def shift(band: Band, by_ms: float) -> Band:
    """Return *band* with all notes *by_ms* milliseconds later (negative: earlier)."""
    by_ticks = round(by_ms / 1000 * 16 * band.timeline.tempo_at(0))
    return move_notes(band, lambda note: note.tick + by_ticks)


def by_people(band: Band, seed: int, scatter_ms: float = 8.0, lean_ms: float = 10.0) -> Band:
    """Return *band* as people play it: each stroke off by *scatter_ms*, each player by up to *lean_ms* throughout."""
    chance = random.Random(seed)
    per_ms = 16 * band.timeline.tempo_at(0) / 1000
    leans = {id(track): chance.uniform(-lean_ms, lean_ms) for track in band.tracks}
    lean_of = {id(note): leans[id(track)] for track in band.tracks for note in track.notes}
    return move_notes(
        band, lambda note: note.tick + round(per_ms * (lean_of[id(note)] + chance.gauss(0, scatter_ms)))
    )
