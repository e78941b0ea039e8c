"""Measuring against labels: scores, takes, splices, and the fitting of weights."""

from __future__ import annotations

from itertools import count
from pathlib import Path

import mido
import pytest

from handgroove.errors import HandgrooveError
from handgroove.groove.hits import Groove
from tests.groove.know.test_knowledge import ROCK, TOMS, play
from tests.tools.labelled import Take, read_takes, splice_fills
from tests.tools.measure_grooves import (
    measure_grooves,
    score_answers,
    score_kinds,
    score_splices,
    score_tempos,
)
from tests.tools.train import Examples, fit_logistic

NOTES = {"kick": 36, "snare": 38, "closed hat": 42, "high tom": 48, "middle tom": 47, "floor tom": 43}


def write_folder(folder: Path) -> Path:
    """Write a labelled folder: four grooves and four fills, each on its own tempo."""
    rows = ["file,drummer,style,bpm,kind,time_signature,duration_sec"]
    for number in range(4):
        for kind, groove in (
            ("beat", play(*[ROCK] * 16, jitter_ticks=15, seed=number)),
            ("fill", play(TOMS)),
        ):
            tempo = 88 + 9 * number
            name = f"drummer{number}_rock_{tempo}_{kind}.mid"
            write(folder / name, groove, tempo)
            rows.append(
                f"{name},drummer{number},rock,{tempo},{kind},4-4,{groove.timeline.end_tick / tempo / 16}"
            )
    (folder / "labels.csv").write_text("\n".join(rows) + "\n")
    return folder


def write(path: Path, groove: Groove, tempo_bpm: float) -> None:
    """Write *groove*'s hits as a MIDI file at *tempo_bpm*."""
    track = mido.MidiTrack([mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(tempo_bpm))])
    now = 0
    for hit in groove.hits:
        note = NOTES[hit.piece.value]
        track.append(
            mido.Message("note_on", note=note, velocity=hit.velocity, channel=9, time=hit.tick - now)
        )
        now = hit.tick
    mido.MidiFile(ticks_per_beat=960, tracks=[track]).save(path)


@pytest.fixture
def takes(tmp_path: Path) -> list[Take]:
    """Return the takes of a labelled folder."""
    return read_takes(write_folder(tmp_path))


def test_precision_recall_and_f1() -> None:
    """Three found of which two are right, and one missed: precision and recall are two thirds."""
    score = score_answers([(True, True), (True, True), (True, False), (False, True), (False, False)])
    assert (score.precision, score.recall, score.f1) == pytest.approx((2 / 3, 2 / 3, 2 / 3))


def test_takes_are_read_with_their_labels(takes: list[Take]) -> None:
    """Kind, style and tempo come from the table, and the split depends on the name alone."""
    assert [take.is_fill for take in takes] == [False, True] * 4
    assert {take.family for take in takes} == {"rock"}
    assert [take.tempo_bpm for take in takes[::2]] == [88, 97, 106, 115]
    assert [take.is_tuning for take in takes] == [take.is_tuning for take in reversed(takes)][::-1]


def test_clear_cases_score_full_marks(takes: list[Take]) -> None:
    """Plain grooves and fills down the toms are all told right, found where they are set in, and their tempos found."""
    from handgroove.groove.know.knowledge import know_groove

    assert score_kinds(takes, [know_groove(take.groove) for take in takes]).f1 == 1.0
    splices = splice_fills(takes)
    assert len(splices) == 12
    assert score_splices(splices).f1 == 1.0
    tempos = score_tempos([take for take in takes if not take.is_fill])
    assert tempos.exact == 1.0
    assert tempos.error_percent < 0.5


def test_measure_prints_every_figure(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The bench tells speed, clips, bars, tempos and swing."""
    ticks = count()
    measure_grooves(write_folder(tmp_path), lambda: float(next(ticks)))
    text = capsys.readouterr().out
    for words in (
        "times real time",
        "clips, fill or beat",
        "fill bars in grooves",
        "tempo hidden",
        "by style",
    ):
        assert words in text


def test_folder_without_labels_is_explained(tmp_path: Path) -> None:
    """A folder without a table says what was expected."""
    with pytest.raises(HandgrooveError, match=r"labels\.csv"):
        read_takes(tmp_path)


def test_logistic_regression_finds_the_telling_feature() -> None:
    """Of two features, the one that tells the classes apart gets the weight, on its own scale."""
    examples = Examples([], [], [])
    for number in range(40):
        examples.add((float(number % 2) * 10, float(number % 5)), number % 2, 1.0)
    bias, (telling, other) = fit_logistic(examples, ridge=0.1)
    assert telling > 5 * abs(other)
    assert bias + 10 * telling > 0 > bias
