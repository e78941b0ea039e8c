"""The player's own choices: a file that is read with all that is wrong in it, written to be edited, and applied."""

from __future__ import annotations

from pathlib import Path

import pytest

from handgroove.band.read.choices import (
    Choices,
    LaidChoices,
    Rule,
    check_choices,
    format_choices,
    read_choices,
)
from handgroove.band.read.density import Chords, Density
from handgroove.band.read.read_band import read_band
from handgroove.band.read.roles import BandRole, find_roles
from handgroove.band.read.song_form import find_form
from handgroove.errors import HandgrooveError

DEMO = Path(__file__).parents[3] / "demo" / "lantern-street-band.mid"


def write(path: Path, text: str) -> Path:
    """Write *text* as a choices file."""
    file = path / "choices.yaml"
    file.write_text(text, encoding="utf-8")
    return file


def test_a_file_is_read_whole(tmp_path: Path) -> None:
    """Roles, rules with their places, density and figures come in as written."""
    choices = read_choices(
        write(
            tmp_path,
            "roles:\n  Lead: melody\nkeep:\n  - track: Guitar\n    section: Chorus\n"
            "leave out:\n  - {track: snare, bars: 5-8}\nprefer:\n  - track: E-Piano\n"
            "density: full\nchords: answer\nfigures:\n  bar 12: 2\n",
        )
    )
    assert choices.roles == {"Lead": BandRole.MELODY}
    assert choices.keep == (Rule("Guitar", "Chorus"),)
    assert choices.leave_out == (Rule("snare", "", (5, 8)),)
    assert choices.prefer == (Rule("E-Piano"),)
    assert choices.density is Density.FULL
    assert choices.chords is Chords.ANSWER
    assert choices.figures == {"bar 12": 2}


def test_all_that_is_wrong_is_told_at_once(tmp_path: Path) -> None:
    """A wrong role, wrong bars and an unknown key give three problems with their places."""
    file = write(
        tmp_path, "roles:\n  Lead: melodie\nkeep:\n  - track: Guitar\n    bars: five\ndensty: full\n"
    )
    with pytest.raises(HandgrooveError) as caught:
        read_choices(file)
    text = str(caught.value)
    assert "did you mean 'melody'" in text
    assert "expected bars such as 5 or 5-12, got 'five'" in text
    assert "did you mean 'density'" in text
    assert ":2:9:" in text


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    """The file that a condensing leaves behind means the same choices, names with odd letters included."""
    choices = Choices(
        {"Lead: vox #1": BandRole.MELODY},
        keep=(Rule("Gitarre ä", "Chorus"),),
        leave_out=(Rule("kick", "", (3, 4)),),
        density=Density.SPARE,
        figures={"bar 8": 3},
    )
    found = {"Lead: vox #1": BandRole.MELODY, "Other": BandRole.PAD}
    back = read_choices(write(tmp_path, format_choices(choices, found, "A song")))
    assert (back.roles, back.keep, back.leave_out, back.prefer, back.density, back.figures) == (
        choices.roles,
        choices.keep,
        choices.leave_out,
        (),
        Density.SPARE,
        {"bar 8": 3},
    )


def test_untouched_the_written_file_chooses_nothing(tmp_path: Path) -> None:
    """Roles as heard stand there as remarks, so that the file may be given back as it is."""
    back = read_choices(write(tmp_path, format_choices(Choices(), {"Lead": BandRole.MELODY})))
    assert back.roles == {}
    assert back.density is Density.USUAL


def test_tracks_and_sections_that_are_not_there_are_told() -> None:
    """Every unknown name gets its problem, with what there is."""
    band = read_band(DEMO)
    form = find_form(band, find_roles(band))
    choices = Choices({"Led": BandRole.MELODY}, keep=(Rule("Tuba"),), prefer=(Rule("Guitar", "Chrous"),))
    with pytest.raises(HandgrooveError) as caught:
        check_choices(choices, band, form)
    text = str(caught.value)
    assert "did you mean 'Lead'" in text
    assert "keep: there is no track called 'Tuba'" in text
    assert "did you mean 'Chorus'" in text


def test_rules_hold_where_they_say() -> None:
    """A section's rule holds in the section, a rule of bars in these bars, both alone nowhere else."""
    band = read_band(DEMO)
    form = find_form(band, find_roles(band))
    placed = LaidChoices(Choices(leave_out=(Rule("Guitar", "chorus"), Rule("Lead", bars=(5, 6)))), form)
    tick = band.timeline.bar_start
    assert not placed.wants("Guitar", tick(13))
    assert placed.wants("Guitar", tick(12))
    assert not placed.wants("Lead", tick(6) + 960)
    assert placed.wants("Lead", tick(7))
    assert placed.wants("Bass", tick(13))
