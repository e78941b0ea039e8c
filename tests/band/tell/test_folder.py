"""Many bands at once: progress, taking up again, and files that fail without stopping the rest."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from pathlib import Path

import pytest

from handgroove.band.tell.folder import DONE, find_tasks, run_tasks
from handgroove.errors import HandgrooveError


def work(source: Path, folder: Path) -> Mapping[str, float | None]:
    """Pretend to condense *source*: its bytes say what happens."""
    text = source.read_text(encoding="utf-8")
    if text == "bad":
        raise HandgrooveError("it is damaged")
    if text == "bug":
        raise ValueError("oops")
    if text == "dies":
        os._exit(9)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "piano.mid").write_text(text, encoding="utf-8")
    return {"melody kept": float(text)}


@pytest.fixture
def songs(tmp_path: Path) -> Path:
    """Return a folder of songs, one of them in a folder of its own, and something else beside them."""
    folder = tmp_path / "songs"
    (folder / "more").mkdir(parents=True)
    for name, text in (("a.mid", "1"), ("b.mid", "bad"), ("more/a.midi", "0.5"), ("notes.txt", "no song")):
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def test_every_song_of_a_folder_and_those_in_it_is_done(songs: Path, tmp_path: Path) -> None:
    """MIDI files only, each into a folder of its own, the bad one told and the others done."""
    outcomes = {Path(o.source).name: o for o in run_tasks(find_tasks(songs, tmp_path / "out", ""), work, 1)}
    assert sorted(outcomes) == ["a.mid", "a.midi", "b.mid"]
    assert outcomes["a.mid"].figures == {"melody kept": 1.0}
    assert outcomes["b.mid"].problem == "it is damaged"
    assert (tmp_path / "out" / "more" / "a" / "piano.mid").exists()
    assert not (tmp_path / "out" / "b").exists()


def test_what_is_done_is_not_done_again(songs: Path, tmp_path: Path) -> None:
    """A second run skips what is done, but not what failed or was changed, and gives the same figures."""
    out = tmp_path / "out"
    first = list(run_tasks(find_tasks(songs, out, ""), work, 1))
    (songs / "more" / "a.midi").write_text("0.25", encoding="utf-8")
    second = {Path(o.source).name: o for o in run_tasks(find_tasks(songs, out, ""), work, 1)}
    assert not any(outcome.skipped for outcome in first)
    assert [second[name].skipped for name in ("a.mid", "b.mid", "a.midi")] == [True, False, False]
    assert second["a.mid"].figures == {"melody kept": 1.0}
    assert second["a.midi"].figures == {"melody kept": 0.25}


def test_other_options_do_everything_again(songs: Path, tmp_path: Path) -> None:
    """What was done with other options is not what is asked for now."""
    out = tmp_path / "out"
    list(run_tasks(find_tasks(songs, out, "octave"), work, 1))
    assert not any(outcome.skipped for outcome in run_tasks(find_tasks(songs, out, "tenth"), work, 1))


def test_a_spoilt_record_is_done_again(songs: Path, tmp_path: Path) -> None:
    """A record that can't be read is as none."""
    out = tmp_path / "out"
    list(run_tasks(find_tasks(songs, out, ""), work, 1))
    (out / "a" / DONE).write_text("{", encoding="utf-8")
    assert json.loads((out / "more" / "a" / DONE).read_text(encoding="utf-8"))["figures"]
    skipped = {Path(o.source).name: o.skipped for o in run_tasks(find_tasks(songs, out, ""), work, 1)}
    assert skipped == {"a.mid": False, "b.mid": False, "a.midi": True}


def test_neither_a_bug_nor_a_process_that_dies_stops_the_rest(songs: Path, tmp_path: Path) -> None:
    """With two at a time, one that raises and one that takes its process with it are told; all others are done."""
    (songs / "c.mid").write_text("bug", encoding="utf-8")
    (songs / "d.mid").write_text("dies", encoding="utf-8")
    (songs / "e.mid").write_text("0.75", encoding="utf-8")
    outcomes = {Path(o.source).name: o for o in run_tasks(find_tasks(songs, tmp_path / "out", ""), work, 2)}
    assert len(outcomes) == 6
    assert "ValueError: oops" in outcomes["c.mid"].problem
    assert "died over it" in outcomes["d.mid"].problem
    assert [outcomes[name].problem for name in ("a.mid", "a.midi", "e.mid")] == ["", "", ""]


def test_two_songs_of_one_name_do_not_overwrite_each_other(tmp_path: Path) -> None:
    """song.mid and song.midi get folders of their own."""
    for name in ("song.mid", "song.midi"):
        (tmp_path / name).write_text("1", encoding="utf-8")
    folders = [task.folder.name for task in find_tasks(tmp_path, tmp_path / "out", "")]
    assert folders == ["song", "song-2"]


def test_a_folder_without_songs_is_told(tmp_path: Path) -> None:
    """Nothing to do is a sentence, not an empty table."""
    with pytest.raises(HandgrooveError, match="found none in it"):
        find_tasks(tmp_path, tmp_path / "out", "")
