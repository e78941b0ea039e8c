from __future__ import annotations

from pathlib import Path

import pytest

from handgroove.errors import HandgrooveError
from handgroove.hands.ease import Ease
from handgroove.harmony.voice.voicing_settings import Idiom
from handgroove.patterns import read_pattern
from handgroove.picks import Picked, Picks, picks_path, read_picks, use_picks, write_picks


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    """Readings and figures come back as they were, and figures stand in the order of their bars."""
    picks = Picks({"pattern": "swing ride", "voicing": "rootless"}).with_figure(12, 1).with_figure(4, 3)
    path = write_picks(picks, tmp_path / "a.picks.yaml", "take.mid")
    assert read_picks(path) == picks
    text = path.read_text()
    assert text.index("bar 4") < text.index("bar 12")
    assert text.startswith("# What was chosen for take.mid.")


def test_words_that_yaml_would_twist_come_back(tmp_path: Path) -> None:
    """A pattern called "off" or "12/8: slow" is still that after a round trip."""
    for name in ("off", "12/8: slow", "1:30", "# two"):
        path = write_picks(Picks({"pattern": name}), tmp_path / "a.yaml")
        assert read_picks(path).reading == {"pattern": name}


def test_nothing_chosen(tmp_path: Path) -> None:
    """Empty picks are a file with its comment only, and read as nothing chosen."""
    assert read_picks(write_picks(Picks(), tmp_path / "a.yaml")) == Picks()


def test_a_new_choice_replaces_the_old() -> None:
    """A second choice for a bar replaces the first; an empty option is left to the program."""
    picks = Picks().with_figure(8, 1).with_figure(8, 2)
    assert picks.figure(8) == 2
    assert picks.figure(9) is None
    assert picks.with_reading({"pattern": "", "voicing": "shells"}).reading == {"voicing": "shells"}


def test_all_that_is_wrong_is_told_at_once(tmp_path: Path) -> None:
    """A wrong key, a candidate 0 and a bar without a number are three problems of one error."""
    path = tmp_path / "a.yaml"
    path.write_text("reading:\n  patern: x\nfigures:\n  bar 4: 0\n")
    with pytest.raises(HandgrooveError) as caught:
        read_picks(path)
    assert len(caught.value.problems) == 2
    assert "did you mean 'pattern'?" in str(caught.value)
    path.write_text("figures:\n  bar x: 1\n")
    with pytest.raises(HandgrooveError, match="expected 'bar' and its number, got 'bar x'"):
        read_picks(path)


def test_picks_lie_beside_the_source() -> None:
    """take.mid has take.picks.yaml beside it, a built-in pattern has its name in the current folder."""
    assert picks_path("songs/take.mid") == Path("songs/take.picks.yaml")
    assert picks_path("straight eighths") == Path("straight-eighths.picks.yaml")


def test_a_kept_reading_is_what_translate_plays(tmp_path: Path) -> None:
    """The picks beside a take choose pattern and voicing for the next run, and the part's messages say so."""
    source = tmp_path / "take.mid"
    assert use_picks(source) == Picked()
    reading = {"pattern": "swing-ride", "level": "easier", "voicing": "quartal"}
    write_picks(Picks(reading).with_figure(3, 1), picks_path(source))
    picked = use_picks(source)
    assert picked.pattern is not None
    assert (picked.pattern.name, picked.pattern.harmony.idiom) == ("swing-ride", Idiom.QUARTAL)
    assert picked.ease is Ease.EASIER
    told = "pattern swing-ride, level easier, voicing quartal"
    assert picked.messages == (f"played as picked in take.picks.yaml: {told}",)


@pytest.mark.parametrize("ease", Ease)
def test_every_step_can_be_kept(ease: Ease, tmp_path: Path) -> None:
    """A picks file names a step, or one step down or up."""
    source = tmp_path / "take.mid"
    write_picks(Picks({"level": ease.value}), picks_path(source))
    assert use_picks(source).ease is ease


def test_a_voicing_alone_is_for_any_pattern(tmp_path: Path) -> None:
    """A voicing picked without a pattern voices the pattern that is played."""
    source = tmp_path / "take.mid"
    write_picks(Picks({"voicing": "quartal"}), picks_path(source))
    picked = use_picks(source)
    assert picked.pattern is None
    assert picked.voiced(read_pattern("shuffle")).harmony.idiom is Idiom.QUARTAL


def test_an_unknown_voicing_is_refused(tmp_path: Path) -> None:
    """A voicing that does not exist is refused with the file's line."""
    path = tmp_path / "a.yaml"
    path.write_text("reading:\n  voicing: crowded\n")
    with pytest.raises(HandgrooveError, match=r"a\.yaml:2:\d+: .*'crowded'"):
        read_picks(path)
