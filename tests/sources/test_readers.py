"""The table of sources: each source finds its row, and a new row is all that a new input needs."""

from __future__ import annotations

from pathlib import Path

import pytest

from handgroove.band.read.band_readers import BAND_READERS
from handgroove.errors import HandgrooveError
from handgroove.groove.hits import Groove, Hit
from handgroove.harmony.chart import Chart, parse_chart
from handgroove.sources import readers
from handgroove.sources.pattern_source import USUAL_BARS
from handgroove.sources.readers import READERS, Reader, ReadOptions, find_reader, know_source, read_source
from handgroove.timeline import Metre, Timeline

TAKE = Path(__file__).parents[2] / "demo" / "lantern-street-drums.mid"


def read_listed(source: str, options: ReadOptions, chart: Chart | None) -> tuple[Groove, None]:
    """Return the groove listed in a text file: the input that the tests add."""
    del chart
    struck = [line.split() for line in Path(source).read_text(encoding="utf-8").splitlines()]
    hits = tuple(Hit(int(tick), options.kit().pieces[int(note)], 90, int(note)) for tick, note in struck)
    return Groove(hits, Timeline.of(Metre(4, 4), 100, 1)), None


@pytest.mark.parametrize(
    ("source", "name"),
    [
        ("bossa nova", "pattern"),
        ("mine.yaml", "pattern"),
        ("MINE.YML", "pattern"),
        ("take.mid", "drum MIDI file"),
        ("take.KAR", "drum MIDI file"),
        ("take.wav", "drum MIDI file"),
    ],
)
def test_a_source_is_told_by_its_ending_or_name(source: str, name: str) -> None:
    """YAML files and bare names are patterns; everything else is taken for MIDI, whose reader says what is wrong."""
    assert find_reader(source).name == name


def test_a_folder_hides_no_pattern(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder of a pattern's name is the pattern; another folder, or a file without ending, is not."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "bossa nova").mkdir()
    (tmp_path / "songs").mkdir()
    (tmp_path / "take").write_bytes(b"")
    assert [find_reader(name).name for name in ("bossa nova", "songs", "take")] == [
        "pattern",
        "drum MIDI file",
        "drum MIDI file",
    ]


def test_a_pattern_is_as_long_as_what_it_is_for() -> None:
    """A pattern has the bars that were said, else the chart's, else the usual; once through where it is only known."""
    chart = parse_chart("| C | F | G |")
    timelines = [
        read_source("bossa nova", ReadOptions(bars), laid)[0].timeline
        for bars, laid in ((5, chart), (0, chart), (0, None))
    ]
    assert [sum(1 for _ in line.bars()) for line in timelines] == [5, 3, USUAL_BARS]
    known, pattern = know_source("bossa nova", ReadOptions(None))
    assert pattern is not None
    assert known.groove == pattern.groove()


def test_a_file_takes_another_tempo_but_no_bars() -> None:
    """A MIDI file is played at the tempo that was said; how many bars it has is its own."""
    groove, pattern = read_source(str(TAKE), ReadOptions(tempo_bpm=90))
    assert pattern is None
    assert [round(change.tempo_bpm) for change in groove.timeline.tempos] == [90]
    with pytest.raises(HandgrooveError, match="has its own bars"):
        read_source(str(TAKE), ReadOptions(4))


def test_endings_stand_once() -> None:
    """No ending belongs to two kinds of grooves, or of bands."""
    for table in (READERS, BAND_READERS):
        found = [ending for reader in table for ending in reader.endings]
        assert len(found) == len(set(found))


def test_a_row_is_all_that_an_input_needs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With one more row, a groove that is listed in a text file is read and known like any other."""
    row = Reader("listed groove", (".list",), f"{__name__}:read_listed")
    monkeypatch.setattr(readers, "READERS", (row, *READERS))
    path = tmp_path / "mine.list"
    path.write_text("0 36\n960 38\n1920 36\n2880 38\n", encoding="utf-8")
    known, _ = know_source(str(path), ReadOptions())
    assert len(known.groove.hits) == 4
