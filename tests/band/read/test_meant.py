"""One reading of a whole band: its lean taken off, every player's every note meant at a written place."""

from __future__ import annotations

import random
from collections.abc import Sequence

from hypothesis import given
from hypothesis import strategies as st

from handgroove.band.read.meant import read_notes, take_lean_off, written
from handgroove.band.read.roles import BandRole, Cast
from handgroove.band.read.tracks import Band, BandNote, BandTrack, cut_timeline
from handgroove.timeline import Metre, Timeline

LINE = Timeline.of(Metre(4, 4), 100, 4)
ROLES = {"Drums": BandRole.DRUMS, "Bass": BandRole.BASS, "Keys": BandRole.CHORDS, "Lead": BandRole.MELODY}


def make_band(**tracks: Sequence[tuple[int, int, int]]) -> tuple[Band, tuple[Cast, ...]]:
    """Return a band of *tracks*, notes as (tick, length in ticks, pitch), and what each of them does."""
    made = tuple(
        BandTrack(name, tuple(BandNote(*note, 90) for note in sorted(rows)), 10 if name == "Drums" else 1)
        for name, rows in tracks.items()
    )
    casts = tuple(Cast(track, ROLES[track.name], 1.0, ()) for track in made)
    return Band(made, cut_timeline(LINE, made)), casts


def eighths(bars: int, pitch: int, off_ticks: int = 0) -> list[tuple[int, int, int]]:
    """Return *bars* bars of eighths on *pitch*, each *off_ticks* late."""
    return [(tick + off_ticks, 400, pitch) for tick in range(0, bars * 3840, 480)]


def places(band: Band, name: str) -> list[int]:
    """Return where the track of this *name* is meant."""
    return [note.meant for note in band.track(name).notes]


@given(st.integers(0, 130))
def test_a_whole_bands_lean_is_taken_off_to_the_tick(by_ticks: int) -> None:
    """Whatever a band is late as a whole, its notes end up where those of the band on time do."""
    chance = random.Random(3)
    rows = [(tick + chance.randrange(-9, 10), 300, 60) for tick in range(960, 16_000, 480)]
    plain, _ = make_band(Keys=rows, Bass=[(tick, 900, 36) for tick in range(960, 16_000, 960)])
    late = make_band(
        Keys=[(tick + by_ticks, length, pitch) for tick, length, pitch in rows],
        Bass=[(tick + by_ticks, 900, 36) for tick in range(960, 16_000, 960)],
    )[0]
    first, moved = take_lean_off(plain), take_lean_off(late)
    assert [track.ticks for track in moved.tracks] == [track.ticks for track in first.tracks]
    assert moved.timeline == first.timeline
    assert moved.lean is not None
    assert first.lean is not None
    assert moved.lean.ticks - first.lean.ticks == by_ticks


def test_players_who_lean_differently_mean_one_place() -> None:
    """A bass 30 ticks late and keys 30 early are meant with the drums: three tracks, the same places."""
    band, casts = make_band(
        Drums=[(tick, 100, 36) for tick in range(0, 15_360, 480)],
        Bass=eighths(4, 36, 30),
        Keys=[(max(0, tick), length, pitch) for tick, length, pitch in eighths(4, 64, -30)],
    )
    meant, _, reading, known = read_notes(band, casts)
    assert (
        places(meant, "Bass") == places(meant, "Keys") == list(reading.places) == list(range(0, 15_360, 480))
    )
    assert known is not None


def test_a_strum_is_one_stroke() -> None:
    """A chord spread over 40 ms is meant where its first note is."""
    chord = ((0, 60), (20, 64), (40, 67))
    strum = [(tick + off, 800, pitch) for tick in range(0, 15_360, 960) for off, pitch in chord]
    band, casts = make_band(Keys=strum)
    meant, *_ = read_notes(band, casts)
    assert places(meant, "Keys") == [tick for tick in range(0, 15_360, 960) for _ in range(3)]


def test_without_drums_the_swing_is_the_lines_own() -> None:
    """Eighths played two to one by a tune are written as even eighths, and the reading says how they swing."""
    long_short = [tick + off for tick in range(0, 15_360, 960) for off in (0, 640)]
    band, casts = make_band(Lead=[(tick, 250, 72 + tick % 5) for tick in long_short])
    meant, _, reading, known = read_notes(band, casts)
    assert places(meant, "Lead") == list(range(0, 15_360, 480))
    assert round(reading.groove.feel.swing_ratio, 2) == 2
    assert known is None


def test_a_note_ends_where_its_end_is_meant() -> None:
    """Legato that overlaps by a few ticks ends where the next note begins; a very short note keeps its own length."""
    band, casts = make_band(Lead=[(0, 975, 72), (960, 40, 74), (1920, 1900, 76), (3840, 3840, 77)])
    meant, *_ = read_notes(band, casts)
    assert [note.meant_end for note in meant.track("Lead").notes] == [960, 1000, 3840, 7680]


def test_a_last_chord_meant_on_the_next_bar_has_a_bar() -> None:
    """A short final chord a hair before the bar line after the last bar is a final chord, with a bar of its own."""
    band, casts = make_band(Keys=[*eighths(4, 60), (15_345, 10, 60)])
    assert band.timeline.end_tick == 15_360
    meant, *_ = read_notes(band, casts)
    assert places(meant, "Keys")[-1] == 15_360
    assert meant.timeline.end_tick == 19_200


def test_written_notes_stand_where_they_are_meant() -> None:
    """For harmony the notes are as the page has them, in order of their places."""
    found = written([BandNote(990, 400, 64, 90, 960, 1440), BandNote(20, 900, 60, 90, 0, 960)])
    assert [(note.tick, note.end_tick) for note in found] == [(0, 960), (960, 1440)]
