"""The commands that list, show and check patterns."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from handgroove.commands.patterns import app, complete_pattern
from handgroove.patterns import list_patterns, read_pattern

run = CliRunner().invoke


def test_list_names_every_pattern() -> None:
    """The list has a row for each pattern, and the same for programs."""
    shown = run(app, ["list"])
    assert shown.exit_code == 0
    assert all(name in shown.output for name in list_patterns())
    rows = json.loads(run(app, ["list", "--json"]).output)
    assert [row["name"] for row in rows] == list_patterns()
    assert {"metre", "tempo_bpm", "feel", "about", "as_drums", "at_the_piano", "fills", "hands"} <= rows[
        0
    ].keys()


@pytest.mark.parametrize("name", list_patterns())
def test_show_prints_grid_fills_and_hands(name: str) -> None:
    """Showing a pattern prints its title, every row, every fill, both readings as ours, and every translator."""
    shown = run(app, ["show", name])
    assert shown.exit_code == 0
    pattern = read_pattern(name)
    words = " ".join(shown.output.split())
    assert pattern.title in words
    assert all(fill.name in words for fill in pattern.fills)
    assert f"as drums, our own reading: {pattern.as_drums}" in words
    assert f"at the piano, our own reading: {pattern.at_the_piano}" in words
    assert all(assignment.use in words for assignment in pattern.assignments)
    assert "kick:" in shown.output


def test_a_tempo_names_its_note_where_the_beat_is_another() -> None:
    """In 12/8 and 7/8 the tempo is said to count quarters, since the beat is not one; in 4/4 the beat goes unsaid."""
    assert "12/8, 96 quarters to the minute" in run(app, ["show", "ballad-12-8"]).output
    assert "7/8, 126 quarters to the minute" in run(app, ["show", "seven-eight"]).output
    assert "4/4, 112 to the minute" in run(app, ["show", "straight-eighths"]).output


def test_what_is_shown_can_be_pasted() -> None:
    """The rows on the screen are the rows of the file."""
    shown = run(app, ["show", "straight-eighths"]).output
    assert (
        "\nhat:   Xx Xx Xx Xx | Xx Xx Xx Xx\nsnare: .. X. .. X. | .. X. .. X.\nkick:  X. .x X. .x | X. .x X. .x\n"
        in shown
    )


def test_show_prints_the_file_to_begin_from(tmp_path: Path) -> None:
    """With --file the YAML itself is printed, and reads as the same pattern."""
    text = run(app, ["show", "shuffle", "--file"]).output
    path = tmp_path / "mine.yaml"
    path.write_text(text)
    assert read_pattern(path).hits == read_pattern("shuffle").hits


def test_check_tells_right_from_wrong(tmp_path: Path) -> None:
    """Right files get a line, wrong ones all their problems, and one wrong file makes the command fail."""
    path = tmp_path / "mine.yaml"
    path.write_text("title: Mine\ntempo: 400\nmetre: 4/5\n")
    good = run(app, ["check", "shuffle", "waltz"])
    assert (good.exit_code, good.output) == (
        0,
        "shuffle: right (2 bars of 4/4, 2 fills)\nwaltz: right (4 bars of 3/4, 2 fills)\n",
    )
    bad = run(app, ["check", str(path), "shuffle"])
    assert bad.exit_code == 1
    assert f"{path}:2:8: tempo: expected a whole number 20 to 300" in bad.stderr
    assert f"{path}:3:8: metre: expected a time signature" in bad.stderr
    assert "shuffle: right" in bad.stdout


def test_schema_is_json() -> None:
    """The schema command prints one JSON document that describes the file's keys."""
    schema = json.loads(run(app, ["schema"]).output)
    assert {"title", "steps per beat", "groove", "hands"} <= schema["properties"].keys()


def test_names_complete() -> None:
    """The shell completes a pattern's name."""
    assert complete_pattern("ballad") == ["ballad-12-8", "ballad-6-8"]
