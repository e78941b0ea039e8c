"""``handgroove condense``, from the outside."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import mido

from tests.band.bands import quartet, save, track

DEMO = Path(__file__).parents[2] / "demo" / "lantern-street-band.mid"
FILES = {"piano.mid", "report.json", "fingers.svg", "comparison.html", "decisions.txt", "choices.yaml"}


def run(*arguments: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run the command in *cwd*."""
    return subprocess.run(
        [sys.executable, "-m", "handgroove", "condense", *arguments],
        cwd=cwd,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


def test_a_band_is_condensed_into_a_folder(tmp_path: Path) -> None:
    """All files are written, the MIDI file has two hands, and the decisions are printed."""
    done = run(str(DEMO), "--out", "out", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert {path.name for path in (tmp_path / "out").iterdir()} == FILES
    smf = mido.MidiFile(tmp_path / "out" / "piano.mid")
    assert [t.name for t in smf.tracks] == ["Lantern Street", "Right hand", "Left hand"]
    assert "Lead (melody" in done.stdout
    assert "melody kept 100%" in done.stdout


def test_nothing_is_overwritten_unless_asked(tmp_path: Path) -> None:
    """A second run into the same folder is refused, and done with --force."""
    path = save(tmp_path / "a.mid", *quartet().values())
    assert run(str(path), "--out", "out", cwd=tmp_path).returncode == 0
    again = run(str(path), "--out", "out", cwd=tmp_path)
    assert again.returncode == 1
    assert "is there already" in again.stderr
    assert run(str(path), "--out", "out", "--force", cwd=tmp_path).returncode == 0


def test_three_densities_in_one_run(tmp_path: Path) -> None:
    """--levels writes spare, usual and full, each whole."""
    path = save(tmp_path / "a.mid", *quartet().values())
    done = run(str(path), "--levels", "--out", "out", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    for level in ("spare", "usual", "full"):
        assert {file.name for file in (tmp_path / "out" / level).iterdir()} == FILES


def test_roles_are_corrected_by_option_and_by_file(tmp_path: Path) -> None:
    """--melody and a choices file both say what a track is, and the written file repeats it."""
    path = save(tmp_path / "a.mid", *quartet().values())
    done = run(str(path), "--melody", "keys", "--out", "one", "--json", cwd=tmp_path)
    assert "Keys: melody (as you said" in done.stdout
    text = (tmp_path / "one" / "choices.yaml").read_text(encoding="utf-8")
    assert "  Keys: melody" in text.splitlines()
    done = run(str(path), "--choices", "one/choices.yaml", "--out", "two", "--json", cwd=tmp_path)
    assert "Keys: melody (as you said" in done.stdout
    for name in ("piano.mid", "decisions.txt", "comparison.html"):
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_the_report_for_programs_holds_measures_and_decisions(tmp_path: Path) -> None:
    """--json prints one JSON document with both."""
    done = run(str(DEMO), "--out", "out", "--json", cwd=tmp_path)
    report = json.loads(done.stdout)
    assert report["measures"]["melody kept"] == 1
    assert report["decisions"][0]["section"] == "Intro"


def test_a_track_that_is_not_there_is_told(tmp_path: Path) -> None:
    """--melody with an unknown name ends in a sentence with the names that there are, and writes nothing."""
    done = run(str(DEMO), "--melody", "Tuba", "--out", "out", cwd=tmp_path)
    assert done.returncode == 1
    assert "there is no track called 'Tuba'" in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()


def test_a_folder_goes_on_past_a_bad_file_and_is_taken_up_again(tmp_path: Path) -> None:
    """Two good files and a bad one: both are done, the bad one is told, and a second run does neither again."""
    songs = tmp_path / "songs"
    songs.mkdir()
    save(songs / "a.mid", *quartet().values())
    save(songs / "b.mid", track("Nothing", [], 1))
    save(songs / "c.mid", *quartet(4).values())
    done = run("songs", "--jobs", "2", "--out", "out", cwd=tmp_path)
    assert done.returncode == 1
    assert "2 of 3 condensed" in done.stdout
    assert "b.mid: expected a band's notes" in done.stderr
    assert (tmp_path / "out" / "c" / "comparison.html").exists()
    again = run("songs", "--jobs", "2", "--out", "out", cwd=tmp_path)
    assert again.stderr.count(": was done") == 2
