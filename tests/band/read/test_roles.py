"""What each track does in the band."""

from __future__ import annotations

from pathlib import Path

import pytest

from handgroove.band.read.choices import find_track
from handgroove.band.read.read_band import read_band
from handgroove.band.read.roles import BandRole, find_roles
from handgroove.band.read.tracks import Band
from handgroove.errors import HandgrooveError
from tests.band.bands import BASS, KEYS, ROCK, TUNE, drums, notes, quartet, save, times, track


def roles_of(band: Band) -> dict[str, BandRole]:
    """Return each track's role by its name."""
    return {cast.track.name: cast.role for cast in find_roles(band)}


@pytest.fixture
def band(tmp_path: Path) -> Band:
    """Return a quartet."""
    return read_band(save(tmp_path / "quartet.mid", *quartet().values()))


def test_names_and_notes_tell_a_quartet(band: Band) -> None:
    """Drums, bass, keys and lead are what their names say, with reasons."""
    casts = {cast.track.name: cast for cast in find_roles(band)}
    assert {name: cast.role for name, cast in casts.items()} == {
        "Drums": BandRole.DRUMS,
        "Bass": BandRole.BASS,
        "Keys": BandRole.CHORDS,
        "Lead": BandRole.MELODY,
    }
    assert "its name" in casts["Lead"].reasons
    assert "channel 10" in casts["Drums"].reasons


def test_notes_alone_tell_a_quartet_without_names(tmp_path: Path) -> None:
    """Without names and programs register, polyphony and movement tell the same."""
    tracks = [
        track("One", times(notes(BASS), 4, 32), 1),
        track("Two", times(notes(KEYS), 4, 32), 2),
        track("Three", times(notes(TUNE), 4, 32), 3),
        track("Four", drums(8, **ROCK), 10),
    ]
    band = read_band(save(tmp_path / "a.mid", *tracks))
    assert roles_of(band) == {
        "One": BandRole.BASS,
        "Two": BandRole.CHORDS,
        "Three": BandRole.MELODY,
        "Four": BandRole.DRUMS,
    }


def test_drums_on_another_channel_are_found_by_name_or_notes(tmp_path: Path) -> None:
    """A kit's numbers on channel 1 are drums where the name says so, or where no track is on channel 10."""
    for name in ("Drum machine", "Loop"):
        tracks = [track(name, drums(8, **ROCK), 1), track("Lead", times(notes(TUNE), 4, 32), 2)]
        found = roles_of(read_band(save(tmp_path / "a.mid", *tracks)))
        assert found == {name: BandRole.DRUMS, "Lead": BandRole.MELODY}


def test_long_chords_are_a_pad(tmp_path: Path) -> None:
    """Whole-note chords called Strings are a pad, and so are they under another name."""
    for name in ("Strings", "Nine"):
        tracks = [*quartet().values(), track(name, times(notes("60+64+67/16 59+62+67/16", 60), 4, 32), 5)]
        assert roles_of(read_band(save(tmp_path / "a.mid", *tracks)))[name] is BandRole.PAD


def test_a_track_that_plays_along_is_a_double(tmp_path: Path) -> None:
    """The tune an octave higher on another track doubles it, and says whose notes it has."""
    high = [(step, length, pitch + 12, 60) for step, length, pitch, _ in times(notes(TUNE), 4, 32)]
    band = read_band(save(tmp_path / "a.mid", *quartet().values(), track("Glock", high, 6, 9)))
    double = next(cast for cast in find_roles(band) if cast.role is BandRole.DOUBLE)
    assert {double.track.name, double.doubles} == {"Glock", "Lead"}


def test_a_line_that_comes_and_goes_is_a_counter_line(tmp_path: Path) -> None:
    """Four notes now and then beside a tune that sings throughout are a counter-line."""
    line = times(notes("r/28 79/1 81/1 83/1 84/1"), 4, 32)
    band = read_band(save(tmp_path / "a.mid", *quartet().values(), track("Sax", line, 6, 65)))
    assert roles_of(band)["Sax"] is BandRole.COUNTER


def test_your_word_stands(band: Band) -> None:
    """A role that is said is taken, with full confidence, and the others follow from it."""
    casts = {c.track.name: c for c in find_roles(band, {"Keys": BandRole.MELODY, "Lead": BandRole.UNUSED})}
    assert casts["Keys"].role is BandRole.MELODY
    assert casts["Keys"].confidence == 1
    assert casts["Lead"].role is BandRole.UNUSED
    assert [c.role for c in casts.values()].count(BandRole.MELODY) == 1


def test_a_track_is_found_by_name_part_or_number(band: Band) -> None:
    """Tracks may be named in part and in any case, or by the file's number."""
    assert find_track(band, "lead") == find_track(band, "Lea") == find_track(band, "5") == "Lead"


def test_an_unknown_track_is_told_with_those_there_are(band: Band) -> None:
    """A name that no track has gives the near miss, or all names."""
    with pytest.raises(HandgrooveError, match="did you mean 'Lead'"):
        find_track(band, "Laed")
    with pytest.raises(HandgrooveError, match="the tracks are: Drums, Bass, Keys, Lead"):
        find_track(band, "Tuba")
