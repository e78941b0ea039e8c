"""The table of outputs: every row makes what it says, and a new row is all that a new output needs."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from handgroove.band.tell.band_writers import BAND_WRITERS
from handgroove.commands.writing import check_folder, write_part
from handgroove.errors import HandgrooveError
from handgroove.output import writers
from handgroove.output.writers import WRITERS, Writer, choose, file_names, make_files
from handgroove.part import Part
from tests.output.parts import golden_part

ROOT = Path(__file__).parents[2]


def format_count(part: Part, *, word: str = "notes") -> str:
    """Return how many notes *part* has: the output that the tests add."""
    return f"{len(part.notes)} {word}\n"


COUNT = Writer(
    "count",
    f"{__name__}:format_count",
    ("count.txt",),
    (writers.Option("word", "--word", str, "notes", "what they are called."),),
    usual=False,
)


@pytest.mark.parametrize("writer", WRITERS, ids=lambda writer: writer.name)
def test_each_row_makes_its_files(writer: Writer) -> None:
    """A row's function takes a part and the usual of each of its options, and makes the files that the row names."""
    made = writer.make(golden_part(), {option.name: option.usual for option in writer.options})
    assert sorted(made) == sorted(writer.files)
    assert all(made.values())


def test_names_stand_once() -> None:
    """No two outputs share a name, a file or an option."""
    rows = (*WRITERS, *BAND_WRITERS)
    for names in (
        [row.name for row in rows],
        file_names(rows),
        [option.flag for row in rows for option in row.options],
    ):
        assert len(names) == len(set(names))


def test_extras_can_be_installed() -> None:
    """Each extra that a row names is one that pip knows of this package."""
    extras = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert {row.extra for row in WRITERS} - {""} <= set(extras["optional-dependencies"])


def test_only_what_is_usual_or_asked_for_is_chosen() -> None:
    """Without a word the usual files are made; a name adds its own."""
    assert file_names(choose(WRITERS)) == ["piano.mid", "report.json", "fingers.svg"]
    assert file_names(choose(WRITERS, ["sound"]))[-1] == "piano.wav"


def test_a_row_takes_its_own_options_alone() -> None:
    """What is said for other outputs does not reach a row's function."""
    part = golden_part()
    assert make_files([COUNT], part, {"word": "keys", "click": True}) == {
        "count.txt": f"{len(part.notes)} keys\n"
    }


def test_everything_or_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where one output fails, no file of the others is left, nor the folder."""

    def fail(*_: Any) -> str:
        raise HandgrooveError("no ink")

    monkeypatch.setattr("handgroove.output.picture.format_picture", fail)
    with pytest.raises(HandgrooveError, match="no ink"):
        write_part(golden_part(), tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_files_that_are_there_are_left(tmp_path: Path) -> None:
    """Every file that would be written over is named, with one remedy."""
    write_part(golden_part(), tmp_path)
    with pytest.raises(HandgrooveError) as caught:
        check_folder(tmp_path, force=False)
    assert [Path(problem.place).name for problem in caught.value.problems] == file_names(choose(WRITERS))
    check_folder(tmp_path, force=True)
