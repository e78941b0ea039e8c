"""Reading grooves from MIDI files: everything kept, everything wrong told."""

from __future__ import annotations

import contextlib
from pathlib import Path

import mido
import pytest
from hypothesis import given
from hypothesis import strategies as st

from handgroove.errors import HandgrooveError
from handgroove.groove.kit import GENERAL_MIDI, Piece
from handgroove.groove.read.smf import MOST_HITS, open_smf, read_groove
from handgroove.timeline import Metre


def save(path: Path, *tracks: list[object], division: int = 480, kind: int = 1) -> Path:
    """Write *tracks* of messages to *path*."""
    smf = mido.MidiFile(type=kind, ticks_per_beat=division)
    smf.tracks += [mido.MidiTrack(track) for track in tracks]
    smf.save(path)
    return path


def on(note: int, time: int = 0, velocity: int = 90, channel: int = 9) -> mido.Message:
    """Return a note-on of the drum channel."""
    return mido.Message("note_on", note=note, velocity=velocity, time=time, channel=channel)


def metre(beats: int, unit: int, time: int = 0) -> mido.MetaMessage:
    """Return a time signature."""
    return mido.MetaMessage("time_signature", numerator=beats, denominator=unit, time=time)


def error_of(path: Path, **options: object) -> str:
    """Return what reading *path* says is wrong."""
    with pytest.raises(HandgrooveError) as caught:
        read_groove(path, **options)  # type: ignore[arg-type]
    return str(caught.value)


def test_microtiming_and_velocity_come_in_exactly(tmp_path: Path) -> None:
    """A hit 7 ticks late at 480 to the quarter is 14 late at 960, at its own velocity."""
    groove = read_groove(save(tmp_path / "a.mid", [on(36), on(38, 487, 33)]))
    assert [(hit.tick, hit.piece, hit.velocity) for hit in groove.hits] == [
        (0, Piece.KICK, 90),
        (974, Piece.SNARE, 33),
    ]


@given(
    division=st.sampled_from([24, 48, 96, 120, 192, 240, 320, 480, 960]), ticks=st.lists(st.integers(0, 5000))
)
def test_usual_resolutions_are_exact(
    tmp_path_factory: pytest.TempPathFactory, division: int, ticks: list[int]
) -> None:
    """At any division that divides 960, no position is rounded."""
    ticks = sorted({0, *ticks})
    gaps = [after - before for before, after in zip([0, *ticks], ticks, strict=False)]
    path = tmp_path_factory.mktemp("smf") / "a.mid"
    groove = read_groove(save(path, [on(36, gap) for gap in gaps], division=division))
    assert [hit.tick * division for hit in groove.hits] == [tick * 960 for tick in ticks]


def test_type_0_and_several_drum_tracks_are_one_groove(tmp_path: Path) -> None:
    """Type 0 reads as type 1 does, and drums on several tracks come together in order."""
    both = read_groove(save(tmp_path / "1.mid", [on(36), on(36, 960)], [on(42, 480)]))
    single = read_groove(save(tmp_path / "0.mid", [on(36), on(42, 480), on(36, 480)], kind=0))
    assert [hit.tick for hit in both.hits] == [0, 960, 1920]
    assert both.hits == single.hits


def test_metre_and_tempo_changes_are_kept(tmp_path: Path) -> None:
    """A file that goes from 4/4 at 100 to 7/8 at 150 does so in the timeline."""
    conductor = [metre(4, 4), mido.MetaMessage("set_tempo", tempo=600_000), metre(7, 8, 1920)]
    conductor.append(mido.MetaMessage("set_tempo", tempo=400_000))
    groove = read_groove(save(tmp_path / "a.mid", conductor, [on(36), on(36, 1920)]))
    assert [str(change.metre) for change in groove.timeline.metres] == ["4/4", "7/8"]
    assert [round(change.tempo_bpm) for change in groove.timeline.tempos] == [100, 150]
    assert groove.timeline.end_tick == 3840 + 3360


def test_a_short_first_bar_is_a_pickup(tmp_path: Path) -> None:
    """A bar of 1/4 before 4/4 is a pickup; so is what --pickup says."""
    path = save(tmp_path / "a.mid", [metre(1, 4), metre(4, 4, 480)], [on(38), on(36, 480)])
    groove = read_groove(path)
    assert groove.timeline.pickup_ticks == 960
    assert groove.timeline.bar_at(960).number == 1
    assert groove.timeline.metre_at(960) == Metre(4, 4)
    plain = save(tmp_path / "b.mid", [on(38), on(36, 480)])
    assert read_groove(plain, pickup_ticks=960).timeline.bar_at(960).number == 1


def test_running_status_is_read(tmp_path: Path) -> None:
    """Notes that share one status byte, and a velocity of 0 as note-off, read as notes."""
    track = bytes([0x00, 0x99, 36, 100, 0x60, 36, 0, 0x00, 38, 70, 0x00, 0xFF, 0x2F, 0x00])
    header = b"MThd" + (6).to_bytes(4, "big") + bytes([0, 0, 0, 1, 0, 96])
    path = tmp_path / "a.mid"
    path.write_bytes(header + b"MTrk" + len(track).to_bytes(4, "big") + track)
    assert [(hit.tick, hit.note) for hit in read_groove(path).hits] == [(0, 36), (960, 38)]


def test_unknown_notes_are_counted(tmp_path: Path) -> None:
    """Notes that the kit does not know are counted by number, and a kit with them reads them."""
    path = save(tmp_path / "a.mid", [on(36), on(20, 10), on(20, 10)])
    assert read_groove(path).unknown == {20: 2}
    mine = GENERAL_MIDI.with_notes("mine", {20: Piece.SNARE})
    assert len(read_groove(path, mine).hits) == 3


def test_the_edges_of_an_electronic_hat_are_known(tmp_path: Path) -> None:
    """Notes 22 and 26 are the closed and open hat."""
    hits = read_groove(save(tmp_path / "a.mid", [on(22), on(26, 10)])).hits
    assert [hit.piece for hit in hits] == [Piece.CLOSED_HAT, Piece.OPEN_HAT]


def test_a_track_is_chosen_by_name_or_number(tmp_path: Path) -> None:
    """``--track`` reads drums that are on another channel, by part of the track's name or by number."""
    named = [mido.MetaMessage("track_name", name="Studio Kit"), on(38, channel=2)]
    path = save(tmp_path / "a.mid", [on(60, channel=0)], named)
    assert [hit.note for hit in read_groove(path, tracks=["kit"]).hits] == [38]
    assert [hit.note for hit in read_groove(path, tracks=["2"]).hits] == [38]
    assert "expected a track with notes called bass" in error_of(path, tracks=["bass"])


def test_what_is_no_groove_is_told_in_a_sentence(tmp_path: Path) -> None:
    """Each kind of wrong file gets its own sentence and a remedy."""
    (tmp_path / "empty.mid").write_bytes(b"")
    (tmp_path / "text.mid").write_text("not music at all")
    good = save(tmp_path / "good.mid", [on(36), on(38, 480), on(36, 480)]).read_bytes()
    (tmp_path / "cut.mid").write_bytes(good[:-9])
    (tmp_path / "two.mid").write_bytes(good[:8] + b"\0\2" + good[10:])
    (tmp_path / "smpte.mid").write_bytes(good[:12] + bytes([0xE7, 40]) + good[14:])
    (tmp_path / "zero.mid").write_bytes(good[:12] + b"\0\0" + good[14:])
    save(tmp_path / "silent.mid", [metre(4, 4)])
    save(tmp_path / "keys.mid", [on(60, channel=0)])
    assert "the file is empty" in error_of(tmp_path / "empty.mid")
    assert "not a MIDI file" in error_of(tmp_path / "text.mid")
    assert "cut off" in error_of(tmp_path / "cut.mid")
    assert "type 2" in error_of(tmp_path / "two.mid")
    assert "SMPTE" in error_of(tmp_path / "smpte.mid")
    assert "damaged" in error_of(tmp_path / "zero.mid")
    assert "no notes" in error_of(tmp_path / "silent.mid")
    assert "say --channel 1" in error_of(tmp_path / "keys.mid")
    assert "nothing there" in error_of(tmp_path / "missing.mid")
    assert "a folder" in error_of(tmp_path)


def test_a_wrong_key_signature_spoils_nothing(tmp_path: Path) -> None:
    """A key signature of nine sharps is passed over and the notes are read."""
    track = bytes([0x00, 0xFF, 0x59, 0x02, 9, 0, 0x00, 0x99, 36, 100, 0x00, 0xFF, 0x2F, 0x00])
    path = tmp_path / "a.mid"
    header = b"MThd" + (6).to_bytes(4, "big") + bytes([0, 0, 0, 1, 0, 96])
    path.write_bytes(header + b"MTrk" + len(track).to_bytes(4, "big") + track)
    assert [hit.note for hit in read_groove(path).hits] == [36]


def test_too_many_hits_are_refused(tmp_path: Path) -> None:
    """More hits than a concert has are refused with their number."""
    path = save(tmp_path / "a.mid", [on(36, 1) for _ in range(MOST_HITS + 1)])
    assert "50,001" in error_of(path)


@given(st.binary(max_size=400))
def test_any_bytes_give_a_file_or_a_sentence(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    """Random bytes, bare or behind a right header, never raise anything but HandgrooveError."""
    path = tmp_path_factory.mktemp("fuzz") / "a.mid"
    header = b"MThd" + (6).to_bytes(4, "big") + bytes([0, 1, 0, 1, 1, 0xE0])
    for content in (data, header + data, header + b"MTrk" + len(data).to_bytes(4, "big") + data):
        path.write_bytes(content)
        with contextlib.suppress(HandgrooveError):
            open_smf(path)
            read_groove(path)
