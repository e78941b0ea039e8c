"""Reading a band's file: all tracks, whatever a sequencer made of them."""

from __future__ import annotations

from pathlib import Path

import mido
import pytest

from handgroove.band.read.read_band import read_band
from handgroove.errors import HandgrooveError
from tests.band.bands import STEP, drums, notes, quartet, save, times, track


def test_notes_come_in_with_their_lengths(tmp_path: Path) -> None:
    """A quarter at 480 to the quarter is 960 ticks long less the gap that was played."""
    band = read_band(save(tmp_path / "a.mid", track("Lead", notes("60/4 62/4"), 1)))
    assert [(n.tick, n.length_ticks, n.pitch) for n in band.tracks[0].notes] == [(0, 940, 60), (960, 940, 62)]


def test_a_type_0_file_is_parted_by_channel(tmp_path: Path) -> None:
    """One track holding everything gives a track for each channel, the drums named."""
    band = read_band(save(tmp_path / "a.mid", *quartet().values(), kind=0))
    assert sorted((t.channel, t.program) for t in band.tracks) == [(1, 33), (2, 4), (3, 80), (10, None)]
    assert [t.name for t in band.tracks if t.channel == 10] == ["drums"]


def test_tracks_of_one_name_that_overlap_are_numbered(tmp_path: Path) -> None:
    """Two guitars called Guitar that play together stay two, told apart by number."""
    guitars = [track("Guitar", notes("60/4 62/4"), 1), track("Guitar", notes("64/4 65/4"), 1)]
    assert [t.name for t in read_band(save(tmp_path / "a.mid", *guitars)).tracks] == ["Guitar", "Guitar (2)"]


def test_takes_of_one_player_are_joined(tmp_path: Path) -> None:
    """Two tracks of one name, channel and program that follow each other are one player."""
    first, second = track("Guitar", notes("60/4 62/4"), 1), track("Guitar", notes("r/16 64/4"), 1)
    band = read_band(save(tmp_path / "a.mid", first, second))
    assert [(t.name, len(t.notes)) for t in band.tracks] == [("Guitar", 3)]


def test_empty_tracks_are_no_tracks(tmp_path: Path) -> None:
    """A track without notes is not in the band."""
    band = read_band(save(tmp_path / "a.mid", track("Nothing", [], 4), track("Lead", notes("60/4"), 1)))
    assert [t.name for t in band.tracks] == ["Lead"]


def test_thirty_tracks_all_come_in(tmp_path: Path) -> None:
    """Thirty tracks on sixteen channels give thirty tracks with names of their own."""
    tracks = [track(f"Player {n % 7}", notes(f"{40 + n}/4 {41 + n}/4"), n % 9 + 1) for n in range(30)]
    band = read_band(save(tmp_path / "a.mid", *tracks))
    assert len({t.name for t in band.tracks}) == len(band.tracks) == 30


def test_without_a_tempo_120_is_assumed_and_told(tmp_path: Path) -> None:
    """A file with no tempo is read at 120, and says so."""
    band = read_band(save(tmp_path / "a.mid", track("Lead", notes("60/4"), 1), tempo_bpm=None))
    assert band.timeline.tempo_at(0) == 120
    assert "states no tempo" in band.messages[0]


def test_a_wrong_key_signature_spoils_no_note(tmp_path: Path) -> None:
    """A key signature of nine sharps, which there is not, leaves the notes as they are."""
    path = save(tmp_path / "a.mid", track("Lead", notes("60/4"), 1))
    data = path.read_bytes()
    # FF 59 02 09 00: nine sharps, major; inserted at the first track's start, its length mended
    at = data.index(b"MTrk") + 8
    length = int.from_bytes(data[at - 4 : at], "big") + 6
    path.write_bytes(data[: at - 4] + length.to_bytes(4, "big") + b"\x00\xff\x59\x02\x09\x00" + data[at:])
    assert len(read_band(path).tracks[0].notes) == 1


def test_a_note_without_an_end_lasts_to_the_next_of_its_pitch(tmp_path: Path) -> None:
    """A key struck again before it was let go ends there; the last one ends with the track."""
    on = mido.Message("note_on", note=60, velocity=90)
    hung = mido.MidiTrack([on, on.copy(time=4 * STEP), mido.MetaMessage("end_of_track", time=8 * STEP)])
    band = read_band(save(tmp_path / "a.mid", hung))
    assert [(n.tick, n.length_ticks) for n in band.tracks[0].notes] == [(0, 960), (960, 1920)]


def test_forty_minutes_come_in_within_seconds(tmp_path: Path) -> None:
    """A thousand bars of drums are read whole."""
    band = read_band(save(tmp_path / "a.mid", track("Drums", drums(1000, hat="x.x.x.x.x.x.x.x."), 10)))
    assert len(band.tracks[0].notes) == 8000
    assert sum(1 for _ in band.timeline.bars()) == 1000


def test_the_timeline_ends_with_the_last_bar_that_sounds(tmp_path: Path) -> None:
    """Empty bars that a sequencer leaves at the end are not the song's."""
    song = track("Lead", times(notes("60/4"), 2), 1)
    song.append(mido.MetaMessage("end_of_track", time=50 * 16 * STEP))
    assert sum(1 for _ in read_band(save(tmp_path / "a.mid", song)).timeline.bars()) == 2


def test_a_file_without_notes_is_told(tmp_path: Path) -> None:
    """No notes at all: a sentence, no band."""
    with pytest.raises(HandgrooveError, match="got a file with none"):
        read_band(save(tmp_path / "a.mid", track("Nothing", [], 1)))
