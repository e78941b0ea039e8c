"""``handgroove check``: anybody's piano files."""

from __future__ import annotations

import json
from pathlib import Path

import mido

from tests.commands.running import run

Line = list[tuple[int, int, int]]  # tick, length, pitch

SCALE: Line = [(i * 240, 200, pitch) for i, pitch in enumerate((60, 62, 64, 65, 67, 69, 71, 72))]
BASS: Line = [(i * 960, 900, pitch) for i, pitch in enumerate((36, 43, 36, 43))]
TENTHS: Line = [(i * 960, 900, pitch) for i in range(2) for pitch in (60, 76)]


def write(path: Path, *tracks: tuple[str, Line], division: int = 960) -> Path:
    """Write a type 1 file with a tempo track and *tracks*."""
    smf = mido.MidiFile(ticks_per_beat=division)
    smf.add_track().append(mido.MetaMessage("set_tempo", tempo=500_000))
    for name, line in tracks:
        track = smf.add_track(name)
        moves = sorted([(t, 1, p) for t, _, p in line] + [(t + n, 0, p) for t, n, p in line])
        now = 0
        for tick, on, pitch in moves:
            track.append(mido.Message("note_on", note=pitch, velocity=64 * on, time=tick - now))
            now = tick
    smf.save(path)
    return path


def test_two_tracks(tmp_path: Path) -> None:
    """A playable file ends with 0; the lower track is the left hand's."""
    path = write(tmp_path / "a.mid", ("one", SCALE), ("two", BASS))
    ran = run("check", path)
    assert ran.code == 0
    assert "left hand: track 3 (two); right hand: track 2 (one)" in ran.out
    assert "all of it can be played" in ran.out
    assert "longest" not in ran.err


def test_names_of_hands_count_more_than_height(tmp_path: Path) -> None:
    """Tracks that are called left and right are that."""
    path = write(tmp_path / "a.mid", ("Right hand", BASS), ("Left hand", SCALE))
    assert "left hand: track 3 (Left hand); right hand: track 2 (Right hand)" in run("check", path).out


def test_tracks_by_number(tmp_path: Path) -> None:
    """The user can say which track is which hand's; a track without notes is told."""
    path = write(tmp_path / "a.mid", ("Right hand", BASS), ("Left hand", SCALE))
    assert "left hand: track 2 (Right hand)" in run("check", path, "--left", "2", "--right", "3").out
    ran = run("check", path, "--left", "2", "--right", "9")
    assert ran.code == 1
    assert "expected notes on track 9, got none; tracks with notes: 2, 3" in ran.err
    assert run("check", path, "--left", "2").code == 2


def test_one_track_is_split_by_search(tmp_path: Path) -> None:
    """A single track is split between the hands."""
    path = write(tmp_path / "a.mid", ("Piano", SCALE + BASS))
    report = json.loads(run("check", path, "--json").out)[0]
    assert report["hands"] == "track 2 (Piano), split between the hands by search"
    assert [(load["hand"], load["notes"]) for load in report["load"]] == [("left", 4), ("right", 8)]


def test_what_cant_be_played(tmp_path: Path) -> None:
    """Tenths fail a hand that reaches a ninth, by bar and beat, with the caution; a larger hand plays them."""
    path = write(tmp_path / "a.mid", ("Right hand", TENTHS), ("Left hand", BASS))
    ran = run("check", path)
    assert ran.code == 1
    assert "bar 1, beat 1, 2: right hand: sixteen semitones, over the reach of a ninth" in ran.out
    assert "Stop when it hurts" in ran.out
    assert "not medical advice" in ran.out
    assert run("check", path, "--player", "tenth with comfort").code == 0


def test_json_holds_all(tmp_path: Path) -> None:
    """The report for programs has positions, loads, difficulty and cautions."""
    path = write(tmp_path / "a.mid", ("Right hand", TENTHS), ("Left hand", BASS), division=96)
    (report,) = json.loads(run("check", path, "--json").out)
    assert report["playable"] is False
    assert {"bar", "position", "hand", "what"} == set(report["cant"][0])
    assert report["load"][1]["widest reach, semitones"] == 16
    assert report["load"][0]["longest stretch without rest, seconds"] >= 0
    assert {item["hand"] for item in report["difficulty"]} == {"left", "right"}
    assert report["cautions"]


def test_not_a_piano_file(tmp_path: Path) -> None:
    """What isn't MIDI, and what has no notes, is told in a sentence."""
    bad = tmp_path / "b.mid"
    bad.write_bytes(b"no music")
    empty = write(tmp_path / "c.mid")
    ran = run("check", bad, empty)
    assert ran.code == 1
    assert "not a MIDI file" in ran.err
    assert "expected piano notes, got none" in ran.err


def test_several_files(tmp_path: Path) -> None:
    """Each file has its report, and one that can't be played makes the whole end with 1."""
    good = write(tmp_path / "a.mid", ("Right hand", SCALE), ("Left hand", BASS))
    bad = write(tmp_path / "b.mid", ("Right hand", TENTHS), ("Left hand", BASS))
    ran = run("check", good, bad, "--json")
    assert ran.code == 1
    assert [report["playable"] for report in json.loads(ran.out)] == [True, False]


def test_players(tmp_path: Path) -> None:
    """Players can be listed, shown, checked, and their schema printed."""
    assert "a tenth, at ease with a ninth" in run("players", "list").out
    assert "1-5 14/16" in run("players", "show", "tenth").out
    assert json.loads(run("players", "schema").out)["properties"]
    good, bad = tmp_path / "a.yaml", tmp_path / "b.yaml"
    good.write_text("hands: ninth\n")
    bad.write_text("hands: nine\n")
    assert run("players", "check", good).code == 0
    assert run("players", "check", good, bad).code == 1
