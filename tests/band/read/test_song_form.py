"""A song's shape: key, chords, sections and repeats, drum-only bars, fills."""

from __future__ import annotations

from pathlib import Path

import pytest

from handgroove.band.read.read_band import read_band
from handgroove.band.read.roles import find_roles
from handgroove.band.read.song_form import Form, find_form
from handgroove.harmony.chart import lay_chart, read_chart
from tests.band.bands import ROCK, drums, notes, save, times, track

DEMO = Path(__file__).parents[3] / "demo"


@pytest.fixture(scope="module")
def form() -> Form:
    """Return the demo song's form."""
    band = read_band(DEMO / "lantern-street-band.mid")
    return find_form(band, find_roles(band))


def test_the_demos_chords_are_the_charts(form: Form) -> None:
    """What is heard has the chart's roots and basses in every bar from the verse on, and its key."""
    timeline = form.groove.timeline
    chart = lay_chart(read_chart(DEMO / "lantern-street.txt"), timeline)
    agreed = total = 0
    for bar in list(timeline.bars())[4:]:
        for tick in (bar.start_tick + 480, bar.start_tick + 2400):
            heard, written = form.harmony.at(tick).chord, chart.at(tick).chord
            assert heard is not None
            assert written is not None
            agreed += (heard.root.pc, heard.bass.pc) == (written.root.pc, written.bass.pc)
            total += 1
    assert agreed == total == 34
    assert form.harmony.key == chart.key


def test_the_files_own_sections_are_taken(form: Form) -> None:
    """Markers name the sections."""
    assert [(s.name, s.first_bar, s.last_bar) for s in form.sections] == [
        ("Intro", 1, 4),
        ("Verse", 5, 12),
        ("Chorus", 13, 20),
        ("End", 21, 21),
    ]


def test_drum_only_bars_and_fills_are_found(form: Form) -> None:
    """The intro is drums alone, and bars 12 and 20 are fills."""
    assert [(s.first, s.last, s.name) for s in form.drum_only] == [(1, 4, "intro")]
    assert form.knowledge is not None
    assert form.knowledge.fill_bars == (12, 20)


def test_drums_alone_vamp_on_the_chord_that_follows(form: Form) -> None:
    """Under the drum-only intro stands the verse's first chord."""
    assert form.harmony.at(0).chord == form.harmony.at(form.groove.timeline.bar_start(5)).chord


def test_sections_that_come_again_share_a_letter(tmp_path: Path) -> None:
    """A B A B without markers: two letters by turns, the rounds counted."""
    part_a = notes("60+64+67/16 57+60+64/16 65+69+72/16 55+59+62/16")
    part_b = notes("62+65+69/16 64+67+71/16 58+62+65/16 57+61+64/16")
    keys = [*part_a, *((s + 64, *rest) for s, *rest in part_b)]
    both = times([(s, ln, p, v) for s, ln, p, v in keys], 2, 128)
    tracks = [track("Keys", both, 1, 0), track("Drums", drums(16, **ROCK), 10)]
    band = read_band(save(tmp_path / "a.mid", *tracks))
    sections = find_form(band, find_roles(band)).sections
    letters = [(s.letter, s.round, s.first_bar) for s in sections if s.first_bar in (1, 9)]
    assert [letter for letter, _, _ in letters] == ["A", "A"]
    assert [number for _, number, _ in letters] == [1, 2]


def test_a_chart_overrules_what_is_heard() -> None:
    """With a chart the chords are the chart's, tensions and all."""
    band = read_band(DEMO / "lantern-street-band.mid")
    form = find_form(band, find_roles(band), read_chart(DEMO / "lantern-street.txt"))
    chord = form.harmony.at(band.timeline.bar_start(12)).chord
    assert chord is not None
    assert chord.symbol == "E7#9"
