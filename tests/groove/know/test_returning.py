"""Fills that return, and short ones, are fills; what goes on is groove: laws over made songs."""

from __future__ import annotations

import pytest

from handgroove.desk.desk import Desk
from handgroove.groove.know.knowledge import know_groove
from handgroove.harmony.chart import parse_chart
from tests.groove.know.made_songs import FILLS, MadeSong, make_family, make_plain, make_song

CHART = parse_chart("| Am7 | Fmaj7 | C | G |")


def find_begins(song: MadeSong) -> dict[int, int]:
    """Return by bar number the beat (from 0) that each found fill begins on."""
    known = know_groove(song.groove)
    timeline = known.groove.timeline
    return {
        fill.bar_numbers[0]: (fill.start_tick - timeline.bar_at(fill.start_tick).start_tick) // 960
        for fill in known.fills
    }


def test_every_fill_of_every_made_song_is_found_where_it_begins() -> None:
    """Songs of 8, 16 and 32 bars, fills the same or not, of a bar, half a bar, a beat: all are found, and no more."""
    wrong = [(song.name, found) for song in make_family() if (found := find_begins(song)) != song.begins]
    assert wrong == []


def test_what_goes_on_or_keeps_time_is_no_fill() -> None:
    """Toms for eight bars, pickups every bar, open hats, two-bar grooves and fourth bars with hats hold no fill."""
    assert [song.name for song in make_plain() if know_groove(song.groove).fills] == []


@pytest.mark.parametrize("beats", FILLS)
def test_every_fill_that_returns_becomes_a_figure(beats: int) -> None:
    """The same fill every fourth bar is a figure each time, and the groove goes on until it begins."""
    song = make_song("eighths", 16, FILLS[beats][:1], beats)
    desk = Desk(song.groove, CHART)
    assert [choice.bar for choice in desk.figures.choices] == [4, 8, 12, 16]
    for choice in desk.figures.choices:
        first = min(desk.reading.places[index] for index in choice.candidate.hits)
        assert first == (choice.bar - 1) * 3840 + (4 - beats) * 960


def test_a_fill_that_returns_is_not_in_the_backbone() -> None:
    """The backbone of a song whose every fourth bar is a fill is the groove's one bar."""
    known = know_groove(make_song("eighths", 16, FILLS[4][:1], 4).groove)
    assert [idea.letter for idea in known.backbone.ideas] == ["A"]
    assert len(known.backbone_bars) == 1
