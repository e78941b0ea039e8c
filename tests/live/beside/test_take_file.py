"""Takes: written whole, in new files, surviving a crash."""

from __future__ import annotations

import json
from itertools import count
from pathlib import Path

import mido

from handgroove.live.beside.record import write_takes
from handgroove.live.beside.take_file import Journal, make_midi_file, recover

_DATE = "2026-02-03-2015"


def _lines(*entries: list[object]) -> list[str]:
    return [json.dumps(entry) + "\n" for entry in entries]


def _now() -> float:
    return float(next(_SECONDS))


_SECONDS = count()

_PLAYED = (
    ["take", 10.0, 120.0],
    ["out", "piano", 10.0, [0x90, 33, 70]],
    ["in", "drums", 10.0, [0x99, 36, 100]],
    ["tempo", 11.0, 60.0],
    ["out", "piano", 12.0, [0x80, 33, 0]],
    ["in", "keys", 12.5, [0xF0, 1, 2, 0xF7]],
)


def test_a_take_is_a_midi_file_with_a_track_for_each_line_and_outlet(tmp_path: Path) -> None:
    """Messages lie at their ticks under the tempos that held, input and output on tracks of their own."""
    (path,) = write_takes(_lines(*_PLAYED), tmp_path, _now, _DATE)
    file = mido.MidiFile(path)
    assert path.name == "2026-02-03-2015-take-01.mid"
    assert [track.name for track in file.tracks] == ["tempo", "out: piano", "in: drums", "in: keys"]
    assert [event.tempo for event in file.tracks[0] if event.type == "set_tempo"] == [500_000, 1_000_000]
    off = [event for event in file.tracks[1] if event.type == "note_off"]
    assert off[0].time == 1920 + 960  # a second at 120 and one at 60
    assert file.tracks[3][1].data == (1, 2)
    assert not list(tmp_path.glob("*.journal"))


def test_each_start_begins_a_new_file_and_none_is_written_over(tmp_path: Path) -> None:
    """Two takes, and two more of the same minute: four files."""
    write_takes(_lines(*_PLAYED, *_PLAYED), tmp_path, _now, _DATE)
    before = {path.name: path.read_bytes() for path in tmp_path.glob("*.mid")}
    write_takes(_lines(*_PLAYED, *_PLAYED[:3]), tmp_path, _now, _DATE)
    after = {path.name: path.read_bytes() for path in tmp_path.glob("*.mid")}
    assert len(before) == 2
    assert len(after) == 4
    assert all(after[name] == data for name, data in before.items())


def test_an_empty_take_leaves_no_file(tmp_path: Path) -> None:
    """A start with nothing played leaves nothing behind."""
    assert write_takes(_lines(["take", 0.0, 120.0]), tmp_path, _now, _DATE) == []
    assert list(tmp_path.iterdir()) == []


def test_a_journal_left_by_a_crash_becomes_a_file(tmp_path: Path) -> None:
    """Half a line at its end is passed over; everything before it is kept."""
    journal = tmp_path / f"{_DATE}-take-01.journal"
    journal.write_text(
        "".join(_lines(["tempo", 10.0, 120.0], *_PLAYED[1:3])) + '["out","pia', encoding="utf-8"
    )
    (path,) = recover(tmp_path)
    assert len(mido.MidiFile(path).tracks) == 3
    assert not journal.exists()


def test_a_journal_that_is_being_written_is_left_alone(tmp_path: Path) -> None:
    """Another session in the same folder keeps its take."""
    journal = Journal(tmp_path, _DATE)
    journal.write(["out", "piano", 1.0, [0x90, 60, 1]])
    journal.keep()
    assert recover(tmp_path) == []
    assert journal.finish() is not None


def test_a_file_that_is_there_is_not_written_over(tmp_path: Path) -> None:
    """Where the take's own name is taken, another is found."""
    taken = tmp_path / f"{_DATE}-take-01.mid"
    taken.write_bytes(b"mine")
    journal = tmp_path / f"{_DATE}-take-01.journal"
    journal.write_text("".join(_lines(*_PLAYED[1:3])), encoding="utf-8")
    path = make_midi_file(journal)
    assert path is not None
    assert path.name == f"{_DATE}-take-01-2.mid"
    assert taken.read_bytes() == b"mine"
