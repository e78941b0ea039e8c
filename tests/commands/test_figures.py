"""The figures command."""

from __future__ import annotations

import json
from pathlib import Path

import mido
import pytest
from typer.testing import CliRunner

from handgroove.cli import app
from handgroove.errors import WrongUseError
from handgroove.figures.pitches import parse_pitch, pitch_name
from handgroove.harmony.chord import parse_chord
from handgroove.harmony.symbols.names import parse_key
from tests.groove.know.test_knowledge import CRASH, ROCK, TOMS, play

NOTES = {
    "kick": 36,
    "snare": 38,
    "closed hat": 42,
    "crash": 49,
    "high tom": 48,
    "middle tom": 47,
    "floor tom": 43,
}
CHART = "| C | F | C | G7 | C | F | C | C |"


def write_take(path: Path) -> Path:
    """Write eight bars of rock with a fill in the fourth."""
    track = mido.MidiTrack([mido.MetaMessage("set_tempo", tempo=535_714)])
    now = 0
    for hit in play(ROCK, ROCK, ROCK, TOMS, CRASH, ROCK, ROCK, ROCK).hits:
        note = NOTES[hit.piece.value]
        track.append(
            mido.Message("note_on", note=note, velocity=hit.velocity, channel=9, time=hit.tick - now)
        )
        now = hit.tick
    mido.MidiFile(ticks_per_beat=960, tracks=[track]).save(path)
    return path


def test_candidates_are_told_with_reasons(tmp_path: Path) -> None:
    """The fill's five candidates are shown, the first one marked, with notes and reasons."""
    result = CliRunner().invoke(app, ["figures", str(write_take(tmp_path / "take.mid")), "--chart", CHART])
    assert result.exit_code == 0
    assert "Bar 4: fill" in result.stdout
    assert "*1." in result.stdout
    assert "F5 G5 F5 E5 D5 E5 D5 C5 B4 C5 B4 A4 G4 A4 G4 F4 | E4" in result.stdout
    assert "every accent is a chord tone of G7" in result.stdout


def test_pick_is_kept_for_the_next_run(tmp_path: Path) -> None:
    """A pick is written to the picks file, and the next run takes it from there."""
    take = write_take(tmp_path / "take.mid")
    arguments = ["figures", str(take), "--chart", CHART, "--json"]
    picked = json.loads(CliRunner().invoke(app, [*arguments, "--pick", "4:3"]).stdout)
    again = json.loads(CliRunner().invoke(app, arguments).stdout)
    assert picked["figures"][0]["chosen"] == again["figures"][0]["chosen"] == 3
    assert (tmp_path / "take.picks.yaml").exists()


@pytest.mark.parametrize(
    "wrong",
    [
        ["--pick", "9:1"],
        ["--pick", "4:17"],
        ["--pick", "best"],
        ["--low", "H2"],
        ["--hand", "third"],
        ["--high", "D4"],
    ],
)
def test_wrong_options_are_explained(wrong: list[str], tmp_path: Path) -> None:
    """A pick or a limit that makes no sense is a wrong use, told without a trace."""
    take = write_take(tmp_path / "take.mid")
    result = CliRunner().invoke(app, ["figures", str(take), "--chart", CHART, *wrong])
    assert isinstance(result.exception, WrongUseError)
    assert wrong[0] in str(result.exception)


def test_groove_without_fills_says_so(tmp_path: Path) -> None:
    """A pattern without a fill in it has nothing to make a figure of, and that is no error."""
    result = CliRunner().invoke(app, ["figures", "straight-eighths"])
    assert result.exit_code == 0
    assert "nothing to make a figure of" in result.stdout


def test_note_names_are_read() -> None:
    """C4 is 60, and sharps and flats cross octaves rightly."""
    assert [parse_pitch(name) for name in ("C4", "F#4", "Bb3", "Cb4", "B#3")] == [60, 66, 58, 59, 60]
    assert [pitch_name(pitch) for pitch in (60, 66, 58, 21)] == ["C4", "F#4", "Bb3", "A0"]


def test_figures_are_what_translate_chooses_from(tmp_path: Path) -> None:
    """The first candidates of the demo are the ones that translate plays, reasons and all."""
    demo = Path(__file__).parents[2] / "demo"
    chart = ["--chart", str(demo / "lantern-street.txt"), "--json"]
    take = str(demo / "lantern-street-drums.mid")
    shown = json.loads(CliRunner().invoke(app, ["figures", take, *chart]).stdout)["figures"]
    played = CliRunner().invoke(app, ["translate", take, *chart, "--out", str(tmp_path / "out")])
    sentences = json.loads(played.stdout)["figures"]
    assert len(shown) == len(sentences) == 3
    for choice, sentence in zip(shown, sentences, strict=True):
        first = choice["candidates"][0]
        assert f"{first['score']:.0f} of 100): {'; '.join(first['reasons'])}" in sentence


def test_pick_goes_with_the_usual_settings_only(tmp_path: Path) -> None:
    """A number from a list of other settings means another figure to translate, so it is refused."""
    take = write_take(tmp_path / "take.mid")
    arguments = ["figures", str(take), "--chart", CHART, "--busy", "0.5", "--pick", "4:2"]
    result = CliRunner().invoke(app, arguments)
    assert isinstance(result.exception, WrongUseError)
    assert not (tmp_path / "take.picks.yaml").exists()


@pytest.mark.parametrize(
    ("symbol", "key", "pitch", "name"),
    [
        ("E7", "A minor", 68, "G#4"),
        ("Fm", "C minor", 68, "Ab4"),
        ("E7#9", "A minor", 67, "G4"),
        ("Cb", "Gb", 71, "Cb5"),
    ],
)
def test_notes_are_spelled_by_chord_and_key(symbol: str, key: str, pitch: int, name: str) -> None:
    """The third of E7 is G#, never Ab; no double sharps in a line to read at a glance. Common practice, no source."""
    assert pitch_name(pitch, parse_key(key), parse_chord(symbol)) == name
