"""An audition's files: recordings of equal length, a page that needs nothing else, and the choice remembered."""

from __future__ import annotations

import json
import re
import wave
from pathlib import Path

import pytest
from typer.testing import CliRunner

from handgroove.audition.write import find_span, keep_reading
from handgroove.cli import app
from handgroove.errors import HandgrooveError
from handgroove.picks import read_picks
from handgroove.timeline import Metre, MetreChange, TempoChange, Timeline

CHART = "| Am7 | Fmaj7 |"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make an audition of two bars with the command."""
    out = tmp_path_factory.mktemp("audition") / "a"
    asked = ["audition", "straight eighths", "--chart", CHART, "--bars", "1-2", "--out", str(out)]
    done = CliRunner().invoke(app, asked)
    assert done.exit_code == 0, done.output
    assert "audition.html" in done.output
    return out


def test_recordings_have_one_length(folder: Path) -> None:
    """Every reading and the drums are equally long, so that the same place is the same time in all."""
    lengths = set()
    for path in folder.glob("*.wav"):
        with wave.open(str(path)) as file:
            lengths.add(file.getnframes())
    assert len(list(folder.glob("reading-*.wav"))) >= 3
    assert (folder / "drums.wav").exists()
    assert len(lengths) == 1


def test_page_needs_nothing_from_outside(folder: Path) -> None:
    """The page names no address at all, and every file that it names lies beside it."""
    page = (folder / "audition.html").read_text(encoding="utf-8")
    assert not re.search(r"https?:|//[a-z]+\.|@import|url\(", page)
    assert "@@" not in page
    named = re.findall(r'src="([^"]+)"', page)
    assert len(named) >= 4
    assert all((folder / name).is_file() for name in named)


def test_numbers_are_for_programs_too(folder: Path) -> None:
    """readings.json has a row for each reading with its choice and its numbers."""
    rows = json.loads((folder / "readings.json").read_text())["readings"]
    assert [row["number"] for row in rows] == list(range(1, len(rows) + 1))
    assert rows[0]["choice"] == {"pattern": "straight-eighths"}
    assert all(0 <= row["accent_distance"] <= 1 for row in rows)


def test_files_are_not_written_over(folder: Path) -> None:
    """A second run into the same folder is refused unless it is told to."""
    asked = ["audition", "straight eighths", "--chart", CHART, "--bars", "1-2", "--out", str(folder)]
    done = CliRunner().invoke(app, asked)
    assert isinstance(done.exception, HandgrooveError)
    assert "is there already" in str(done.exception)


def test_a_choice_is_remembered(folder: Path, tmp_path: Path) -> None:
    """Keeping a reading writes its choice into the picks beside the source, and leaves picked figures alone."""
    source = tmp_path / "take.mid"
    picks = tmp_path / "take.picks.yaml"
    picks.write_text("figures:\n  bar 8: 2\n")
    name, path = keep_reading(2, folder, str(source))
    assert path == picks
    kept = read_picks(picks)
    row = json.loads((folder / "readings.json").read_text())["readings"][1]
    assert (name, dict(kept.reading)) == (row["name"], row["choice"])
    assert kept.figure(8) == 2


def test_a_kept_figure_is_remembered_as_a_figure(folder: Path, tmp_path: Path) -> None:
    """A reading that differs in a figure keeps that figure's candidate under its bar."""
    other = tmp_path / "a"
    other.mkdir()
    numbers = json.loads((folder / "readings.json").read_text())
    numbers["readings"][1]["choice"] = {"pattern": "straight-eighths", "bar 8": "3"}
    (other / "readings.json").write_text(json.dumps(numbers))
    _, path = keep_reading(2, other, str(tmp_path / "take.mid"))
    kept = read_picks(path)
    assert (dict(kept.reading), kept.figure(8)) == ({"pattern": "straight-eighths"}, 3)


def test_keeping_what_is_not_there(folder: Path, tmp_path: Path) -> None:
    """A number without a reading, and a folder without readings, are refused with a remedy."""
    with pytest.raises(HandgrooveError, match="expected a reading from 1 to"):
        keep_reading(9, folder, str(tmp_path / "take.mid"))
    with pytest.raises(HandgrooveError, match="make them first: handgroove audition"):
        keep_reading(1, tmp_path, str(tmp_path / "take.mid"))


def test_span_of_bars() -> None:
    """Bars are named as musicians count them; without names the first eight are heard, the pickup before them too."""
    timeline = Timeline((MetreChange(0, Metre(3, 4)),), (TempoChange(0, 500_000),), 960 + 12 * 2880, 960)
    assert find_span(timeline) == (0, 960 + 8 * 2880)
    assert find_span(timeline, "2-3") == (960 + 2880, 960 + 3 * 2880)
    assert find_span(timeline, "12") == (960 + 11 * 2880, 960 + 12 * 2880)
    for wrong in ("0-2", "3-2", "1-99", "x", "-3"):
        with pytest.raises(HandgrooveError, match="expected bars from 1 to 12"):
            find_span(timeline, wrong)
