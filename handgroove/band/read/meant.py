"""What a band's notes mean: one reading of all its players, drums and others together, in written ticks.

The band's common lean is taken off all of its notes before anything else looks at them. What one player strikes as one
chord is one stroke: where its first note is meant, all of it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from handgroove.band.read.features import near_ticks
from handgroove.band.read.roles import BandRole, Cast
from handgroove.band.read.tracks import Band, BandNote, BandTrack, clusters, cut_timeline
from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import FAMILY_ORDER, GENERAL_MIDI, Kit
from handgroove.groove.know.knowledge import Knowledge, know_groove
from handgroove.groove.meant.lean import find_lean
from handgroove.groove.meant.reading import SOFTEST_SAYS, Reading, is_free, read_meaning
from handgroove.groove.meant.swing import find_swing

_FIRST_BIT = len(FAMILY_ORDER)  # masks' lower bits are the drums'


def take_lean_off(band: Band) -> Band:
    """Return *band* with its players' common lean taken off all notes; a chord says as much as one note."""
    near = near_ticks(band)
    strokes = [group[0] for track in band.tracks for group in clusters(track.notes, near)]
    ticks = np.array([note.tick for note in strokes], dtype=np.int64)
    says = np.array([SOFTEST_SAYS + note.velocity / 127 for note in strokes])
    lean = find_lean(ticks, says, band.timeline)
    if is_free(lean) or not lean.ticks:
        return replace(band, lean=lean)
    tracks = tuple(
        replace(track, notes=tuple(replace(note, tick=note.tick - lean.ticks) for note in track.notes))
        for track in band.tracks
    )
    return replace(band, tracks=tracks, timeline=cut_timeline(band.timeline, tracks), lean=lean)


def read_notes(
    band: Band, casts: Sequence[Cast], kit: Kit = GENERAL_MIDI
) -> tuple[Band, tuple[Cast, ...], Reading, Knowledge | None]:
    """Return *band* and *casts* with every note's meant place, the reading, and what is known of the drums, if any."""
    groove = make_groove(band, casts, kit)
    heads = {cast.track.name: clusters(cast.track.notes, near_ticks(band)) for cast in casts}
    others: dict[int, int] = {}
    for number, cast in enumerate(casts):
        if cast.role is not BandRole.DRUMS:
            for group in heads[cast.track.name]:
                others[group[0].tick] = others.get(group[0].tick, 0) | 1 << _FIRST_BIT + number
    pitched = [note for cast in casts if cast.role not in _SILENT for note in cast.track.notes]
    known = None
    if groove.hits:
        sounding = join_stretches(sorted((note.tick, note.end_tick) for note in pitched))
        known = know_groove(groove, sounding=sounding, lean=band.lean, others=others)
        reading = known.reading
    else:
        feel = find_swing(
            [
                [group[0].tick for group in heads[cast.track.name]]
                for cast in casts
                if cast.role not in _SILENT
            ],
            band.timeline,
        )
        reading = read_meaning(groove, feel, band.lean, (), others)
    placed = {
        cast.track.name: _placed(cast, heads[cast.track.name], reading)
        if cast.role is not BandRole.DRUMS
        else _placed_drums(cast, reading)
        for cast in casts
    }
    meant = replace(
        band,
        tracks=tuple(placed.get(track.name, track) for track in band.tracks),
        timeline=reading.groove.timeline,
    )
    return meant, tuple(replace(cast, track=placed[cast.track.name]) for cast in casts), reading, known


_SILENT = (BandRole.DRUMS, BandRole.UNUSED)


def _placed(cast: Cast, groups: Iterable[Sequence[BandNote]], reading: Reading) -> BandTrack:
    """Return a pitched track, the notes of each of its *groups* meant where the first one is."""
    notes = []
    for group in groups:
        place = reading.others[group[0].tick]
        notes += [_meant(note, place, reading) for note in group]
    return replace(cast.track, notes=tuple(notes))


def _placed_drums(cast: Cast, reading: Reading) -> BandTrack:
    """Return a drum track, its hits meant where they are read; notes that are no drum's stay beside them."""
    places = {
        (hit.tick, hit.note): place for hit, place in zip(reading.groove.hits, reading.places, strict=True)
    }
    notes = tuple(
        _meant(note, places.get((note.tick, note.pitch), reading.place_at(note.tick)), reading)
        for note in cast.track.notes
    )
    return replace(cast.track, notes=notes)


def _meant(note: BandNote, place: int, reading: Reading) -> BandNote:
    """Return *note* meant at *place*, and until where its end belongs; a very short one is as short as it is played."""
    end = reading.place_at(note.end_tick)
    return replace(note, place=place, end_place=end if end > place else place + note.length_ticks)


def join_stretches(stretches: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return *stretches* (start and end ticks, by start) with those joined that overlap."""
    joined: list[tuple[int, int]] = []
    for start, end in stretches:
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return joined


def make_groove(band: Band, casts: Sequence[Cast], kit: Kit = GENERAL_MIDI) -> Groove:
    """Return the hits of all of *band*'s drum tracks as one groove."""
    hits: set[Hit] = set()
    unknown: dict[int, int] = {}
    for cast in casts:
        if cast.role is not BandRole.DRUMS:
            continue
        for note in cast.track.notes:
            piece = kit.pieces.get(note.pitch)
            if piece is None:
                unknown[note.pitch] = unknown.get(note.pitch, 0) + 1
            else:
                hits.add(Hit(note.tick, piece, note.velocity, note.pitch))
    ordered = tuple(sorted(hits, key=lambda hit: hit.order))
    return Groove(
        ordered,
        band.timeline,
        band.title,
        unknown=dict(sorted(unknown.items())),
        markers=band.markers,
        source=band.source,
    )


def written(notes: Iterable[BandNote]) -> list[BandNote]:
    """Return *notes* as the page has them: begun and ended at their meant places, in order."""
    found = [
        replace(note, tick=note.meant, length_ticks=max(1, note.meant_end - note.meant)) for note in notes
    ]
    return sorted(found, key=lambda note: (note.tick, note.pitch))
