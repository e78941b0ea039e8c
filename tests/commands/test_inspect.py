"""The inspect command."""

from __future__ import annotations

import json
from pathlib import Path

import mido
import pytest
from typer.testing import CliRunner

from handgroove.cli import app
from handgroove.errors import HandgrooveError

ROCK = [(0, 36), (0, 42), (480, 42), (960, 38), (960, 42), (1440, 42), (1920, 36), (1920, 42), (2400, 42)]
REST = [(2880, 38), (2880, 42), (3360, 42)]


def write_take(path: Path, pitched_from_bar: int | None = None) -> Path:
    """Write eight bars of rock at 96, with a long note from *pitched_from_bar* (from 0) on."""
    events = [(bar * 3840 + tick, note, 9) for bar in range(8) for tick, note in (*ROCK, *REST)]
    if pitched_from_bar is not None:
        events += [(bar * 3840, 60, 0) for bar in range(pitched_from_bar, 8)]
    messages = []
    for tick, note, channel in events:
        length = 120 if channel == 9 else 3700
        messages += [(tick, 1, note, channel, 90), (tick + length, 0, note, channel, 0)]
    track = mido.MidiTrack([mido.MetaMessage("set_tempo", tempo=625_000)])
    now = 0
    for tick, _, note, channel, velocity in sorted(messages):
        track.append(mido.Message("note_on", note=note, velocity=velocity, channel=channel, time=tick - now))
        now = tick
    mido.MidiFile(ticks_per_beat=960, tracks=[track]).save(path)
    return path


def test_json_of_one_file(tmp_path: Path) -> None:
    """--json prints one object with tempo, metre, swing, fills and kind."""
    result = CliRunner().invoke(app, ["inspect", str(write_take(tmp_path / "take.mid")), "--json"])
    assert result.exit_code == 0
    facts = json.loads(result.stdout)
    assert (facts["tempo_bpm"], facts["metre"], facts["fill_bars"], facts["kind"]) == (
        96.0,
        "4/4",
        [],
        "beat",
    )


def test_band_file_shows_its_drum_only_intro(tmp_path: Path) -> None:
    """In a band's file the bars before the first pitched note are drums alone."""
    path = write_take(tmp_path / "band.mid", pitched_from_bar=4)
    facts = json.loads(CliRunner().invoke(app, ["inspect", str(path), "--json"]).stdout)
    assert facts["drum_only"] == [{"first_bar": 1, "last_bar": 4, "what": "intro"}]


def test_words_picture_and_pattern_are_written(tmp_path: Path) -> None:
    """Without --json it tells in words, shows the grid, and writes what is asked for."""
    take, svg, pattern = write_take(tmp_path / "take.mid"), tmp_path / "take.svg", tmp_path / "mine.yaml"
    arguments = ["inspect", str(take), "--picture", str(svg), "--write-pattern", str(pattern)]
    result = CliRunner().invoke(app, arguments)
    assert result.exit_code == 0
    assert "kick:" in result.stdout
    assert svg.read_text().startswith("<svg")
    assert "title: mine" in pattern.read_text()
    again = CliRunner().invoke(app, arguments)
    assert isinstance(again.exception, HandgrooveError)


@pytest.mark.parametrize("data", [b"", b"MThd", b"RIFF....", bytes(range(256))])
def test_bad_files_are_clean_errors(data: bytes, tmp_path: Path) -> None:
    """A file that is no MIDI file raises the error that the command tells without a trace."""
    path = tmp_path / "bad.mid"
    path.write_bytes(data)
    result = CliRunner().invoke(app, ["inspect", str(path)])
    assert isinstance(result.exception, HandgrooveError)
    assert "bad.mid" in str(result.exception)
