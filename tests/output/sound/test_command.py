"""``handgroove translate --write sound``: what is asked for is in the file."""

from __future__ import annotations

import json
import wave
from pathlib import Path

import pytest
from typer.testing import CliRunner

from handgroove.cli import app
from handgroove.errors import HandgrooveError
from handgroove.picks import Picks, picks_path, write_picks

ASKED = ["translate", "straight eighths", "--chart", "| Am7 | Fmaj7 |", "--write", "sound"]


def frames_of(folder: Path, *more: str) -> int:
    """Run the command with *more* options and return how long its recording is, in frames."""
    done = CliRunner().invoke(app, [*ASKED, "--out", str(folder), *more])
    assert done.exit_code == 0, (done.output, done.exception)
    with wave.open(str(folder / "piano.wav")) as file:
        frames: int = file.getnframes()
    return frames


def test_sound_is_written_as_wished(tmp_path: Path) -> None:
    """A count-in makes the file a bar longer; drums beside or alone make other files of the same length."""
    plain = frames_of(tmp_path / "a")
    assert frames_of(tmp_path / "b", "--count-in", "1") - plain == pytest.approx(4 * 60 / 112 * 44_100, abs=2)
    assert frames_of(tmp_path / "c", "--hear-drums", "soft") == plain
    assert frames_of(tmp_path / "d", "--hear-drums", "only", "--click") == plain
    assert len({(tmp_path / name / "piano.wav").read_bytes() for name in "acd"}) == 3


def test_a_recording_is_not_written_over(tmp_path: Path) -> None:
    """A recording that is there already is left as it is."""
    (tmp_path / "piano.wav").write_bytes(b"mine")
    done = CliRunner().invoke(app, [*ASKED, "--out", str(tmp_path)])
    assert isinstance(done.exception, HandgrooveError)
    assert (tmp_path / "piano.wav").read_bytes() == b"mine"


def test_what_was_kept_is_played(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The pattern kept after an audition is used for the next run, and a named pattern wins over it."""
    monkeypatch.chdir(tmp_path)
    write_picks(Picks({"pattern": "bossa-nova"}), picks_path("straight eighths"))
    names = []
    for more in ([], ["--pattern", "disco"]):
        done = CliRunner().invoke(app, [*ASKED[:-2], "--out", "out", "--force", *more])
        assert done.exit_code == 0, (done.output, done.exception)
        names.append(json.loads(Path("out/report.json").read_text())["pattern"])
    assert names == ["bossa-nova", "disco"]
