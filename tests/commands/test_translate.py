"""``handgroove translate`` and ``demo``: files whole or not at all, and errors in sentences."""

from __future__ import annotations

import json
from pathlib import Path

import mido
import pytest

from tests.commands.running import run

DEMO = Path(__file__).parents[2] / "demo"
DRUMS = DEMO / "lantern-street-drums.mid"
FILES = {"piano.mid", "report.json", "fingers.svg"}


def names(folder: Path) -> set[str]:
    """Return the names in *folder*."""
    return {path.name for path in folder.iterdir()}


def test_the_demo_writes_into_a_new_folder_and_says_what_next(tmp_path: Path) -> None:
    """The demo writes three files, says so, and a second run takes another folder."""
    ran = run("demo", folder=tmp_path)
    assert ran.code == 0, ran.err
    assert names(tmp_path / "lantern-street") == FILES
    assert "Then try" in ran.out
    assert run("demo", folder=tmp_path).code == 0
    assert names(tmp_path) == {"lantern-street", "lantern-street-2"}


def test_the_demo_drums_are_what_their_script_makes(tmp_path: Path) -> None:
    """The shipped take is the script's, byte for byte."""
    import importlib.util

    spec = importlib.util.spec_from_file_location("lantern_street", DEMO / "lantern_street.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    module.make_drums().save(tmp_path / "again.mid")
    assert (tmp_path / "again.mid").read_bytes() == DRUMS.read_bytes()


def test_a_file_and_an_inline_chart(tmp_path: Path) -> None:
    """The folder is named after the source; the JSON goes to standard output whole."""
    ran = run("translate", DRUMS, "--chart", "| Dm7 | G7 |", "--json", folder=tmp_path)
    assert ran.code == 0, ran.err
    assert json.loads(ran.out)["chords"][1]["chord"] == "G7"
    assert names(tmp_path / "lantern-street-drums") == FILES


def test_several_sources_get_a_folder_each(tmp_path: Path) -> None:
    """Two sources, one a pattern, write two folders inside --out; one bad source does not stop the other."""
    ran = run("translate", DRUMS, "straight eighths", tmp_path / "no.mid", "--out", tmp_path / "all")
    assert ran.code == 1
    assert "no.mid: expected a MIDI file, found nothing there" in ran.err
    assert names(tmp_path / "all") == {"lantern-street-drums", "straight-eighths"}


def test_a_users_file_is_never_written_over(tmp_path: Path) -> None:
    """A second run into the same folder is refused and changes nothing; --force writes."""
    (tmp_path / "piano.mid").write_text("mine")
    ran = run("translate", DRUMS, "--out", tmp_path)
    assert ran.code == 1
    assert "--force" in ran.err
    assert names(tmp_path) == {"piano.mid"}
    assert (tmp_path / "piano.mid").read_text() == "mine"
    assert run("translate", DRUMS, "--out", tmp_path, "--force").code == 0
    assert (tmp_path / "piano.mid").read_bytes()[:4] == b"MThd"
    again = run("translate", DRUMS, "--out", tmp_path)
    assert again.err.count("is left as it is") == 3
    assert again.err.count("--force") == 1


def test_the_same_input_gives_the_same_bytes(tmp_path: Path) -> None:
    """Two runs write the same files."""
    for folder in ("a", "b"):
        assert (
            run("translate", DRUMS, "--chart", DEMO / "lantern-street.txt", "--out", tmp_path / folder).code
            == 0
        )
    for name in FILES:
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--chart", "| Am7 | Hm7 |"], "Hm7"),
        (["--pattern", "strait eighths"], "straight-eighths"),
        (["--key", "H"], "H"),
        (["--player", "no-such-player.yaml"], "no-such-player.yaml"),
        (["--kit", "no-such-kit.yaml"], "no-such-kit.yaml"),
        (["--chart", "no-such-chart.txt"], "no-such-chart.txt"),
        (["--chart", "Am7 F"], "between bar lines"),
        (["--pickup", "99"], "expected a pickup shorter than a bar of 4/4 (4 quarter notes), got 99"),
        (["--bars", "4"], "is for patterns"),
        (["--transpose", "500"], "--transpose"),
    ],
)
def test_a_wrong_option_is_a_sentence_and_writes_nothing(
    tmp_path: Path, arguments: list[str], said: str
) -> None:
    """Each wrong option names what was got, ends with a code, writes nothing and shows no traceback."""
    ran = run("translate", DRUMS, *arguments, folder=tmp_path)
    assert ran.code in (1, 2)
    assert said in ran.err
    assert "Traceback" not in ran.err
    assert "in a way it should not" not in ran.err
    assert not names(tmp_path)


def test_a_folder_of_a_patterns_name_does_not_hide_the_pattern(tmp_path: Path) -> None:
    """A pattern can be translated again beside the folder that the last run wrote; another folder is no source."""
    assert run("translate", "bossa-nova", "--bars", "2", folder=tmp_path).code == 0
    again = run("translate", "bossa-nova", "--bars", "2", "--force", folder=tmp_path)
    assert again.code == 0, again.err
    (tmp_path / "songs").mkdir()
    assert "got a folder" in run("translate", "songs", folder=tmp_path).err


def test_a_chart_of_another_length_is_fitted_or_refused(tmp_path: Path) -> None:
    """By default the chart is repeated and the report says so; with --no-fit it is refused and nothing is written."""
    chart = ("--chart", "| Am7 | Fmaj7 |")
    refused = run("translate", DRUMS, *chart, "--no-fit", folder=tmp_path)
    assert refused.code == 1
    assert "expected a chart of 21 bars, as the groove has, got one of 2" in refused.err
    assert not names(tmp_path)
    assert "2 bars" in run("translate", DRUMS, *chart, folder=tmp_path).out


def test_hits_are_kept_and_left_out_in_words(tmp_path: Path) -> None:
    """Ghosts left out are gone from the notes and told; a wish that is no wish ends with 2."""
    ran = run("translate", DRUMS, "--leave-out", "snare ghosts", "--no-figures", "--json", folder=tmp_path)
    told = json.loads(ran.out)
    assert told["kept"]["snare"]["sounding"] < told["kept"]["snare"]["of"]
    assert sum(row["subject"].startswith("snare") for row in told["omissions"]) >= 20
    wrong = run("translate", DRUMS, "--keep", "snaer", folder=tmp_path)
    assert wrong.code == 2
    assert "did you mean 'snare'" in wrong.err


def test_fills_sing_unless_told_not_to(tmp_path: Path) -> None:
    """The demo's two fills become figures, explained; with --no-figures they stay drums."""
    chart = DEMO / "lantern-street.txt"
    sung = json.loads(run("translate", DRUMS, "--chart", chart, "--json", folder=tmp_path).out)
    assert [line.split(":")[0] for line in sung["figures"]] == [
        "bar 1, drums alone",
        "bar 12, fill",
        "bar 20, fill",
    ]
    plain = run("translate", DRUMS, "--chart", chart, "--no-figures", "--json", "--force", folder=tmp_path)
    assert json.loads(plain.out)["figures"] == []


def test_a_groove_without_drums_is_told(tmp_path: Path) -> None:
    """A file with keys only says where its notes are."""
    smf = mido.MidiFile()
    smf.tracks.append(mido.MidiTrack([mido.Message("note_on", note=60, channel=2)]))
    smf.save(tmp_path / "keys.mid")
    ran = run("translate", tmp_path / "keys.mid", folder=tmp_path)
    assert ran.code == 1
    assert "say --channel 3" in ran.err
    assert names(tmp_path) == {"keys.mid"}


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    """A file in the folder's place gives a sentence."""
    (tmp_path / "out").write_text("a file")
    ran = run("translate", DRUMS, "--out", tmp_path / "out" / "in")
    assert ran.code == 1
    assert "cannot be written" in ran.err


def test_wrong_use_is_2() -> None:
    """An unknown option ends with 2."""
    assert run("translate", DRUMS, "--no-such-option").code == 2


@pytest.mark.parametrize(
    ("option", "value", "said"),
    [
        (
            "--level",
            "hard",
            "'hard' is not one of 'backbeat', 'backbone', 'cell', 'easier', 'whole', 'as is',",
        ),
        ("--channel", "17", "17"),
        ("--count-in", "-1", "--count-in"),
    ],
)
def test_a_wrong_value_is_told_in_plain_words(option: str, value: str, said: str) -> None:
    """A wrong value ends with 2 and names the option; no programmer's words."""
    ran = run("translate", DRUMS, option, value)
    assert ran.code == 2
    assert option in ran.err
    assert said in ran.err or "expected at most 16" in ran.err
    assert "Value error" not in ran.err
    assert "Input should" not in ran.err


def test_unknown_drum_notes_are_reported(tmp_path: Path) -> None:
    """A note that the kit does not know is in the report with its count."""
    smf = mido.MidiFile()
    numbers = (36, 20, 20, 38)  # within one bar: a lone stroke on the next 1 would be a stray
    notes = [mido.Message("note_on", note=n, channel=9, time=480 * (at > 0)) for at, n in enumerate(numbers)]
    smf.tracks.append(mido.MidiTrack(notes))
    smf.save(tmp_path / "odd.mid")
    ran = run("translate", tmp_path / "odd.mid", folder=tmp_path)
    assert "note 20 is not in the kit: 2 hits left out" in ran.out
    assert "Of the kit's hits nothing was left out" in ran.out


def write_hits(path: Path, numbers: list[int], bars: int) -> Path:
    """Write *bars* bars of quarter notes that strike *numbers* in turn."""
    strikes = [numbers[beat % len(numbers)] for beat in range(4 * bars)]
    messages = [
        mido.Message("note_on", note=n, channel=9, time=480 if at else 0) for at, n in enumerate(strikes)
    ]
    mido.MidiFile(tracks=[mido.MidiTrack(messages)]).save(path)
    return path


def test_a_right_hand_without_drums_is_told(tmp_path: Path) -> None:
    """Where each hat is answered, kick and snare alone leave the right hand nothing, and that is told."""
    hands = "title: Hats\nhands:\n  - {take: hat, use: comping, settings: {style: every hat}}\n"
    (tmp_path / "hats.yaml").write_text(hands, encoding="utf-8")
    take = write_hits(tmp_path / "two.mid", [36, 38], 4)
    ran = run("translate", take, "--pattern", tmp_path / "hats.yaml", folder=tmp_path)
    assert "the right hand rests throughout" in " ".join(ran.out.split())


def test_many_bars_of_chords_are_cut_short(tmp_path: Path) -> None:
    """The terminal shows the first 48 bars' chords and how many more there are; the report has them all."""
    take = write_hits(tmp_path / "long.mid", [36, 42, 38, 42], 60)
    ran = run("translate", take, "--chart", "| C | F |", folder=tmp_path)
    assert "and 12 bars more" in " ".join(ran.out.split())
    assert len(json.loads((tmp_path / "long" / "report.json").read_text("utf-8"))["chords"]) == 60
