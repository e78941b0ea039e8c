"""Bars, beats and seconds over ticks."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from handgroove.timeline import Metre, MetreChange, TempoChange, Timeline, bpm_to_quarter_us

CHANGING = Timeline(
    (MetreChange(0, Metre(4, 4)), MetreChange(7680, Metre(7, 8)), MetreChange(7680 + 2 * 3360, Metre(3, 4))),
    (TempoChange(0, 500_000), TempoChange(3840, 300_000)),
    7680 + 2 * 3360 + 2880,
)


def test_bars_follow_changes_of_metre() -> None:
    """Two bars of 4/4, two of 7/8 and one of 3/4 are numbered through and have their own lengths."""
    bars = list(CHANGING.bars())
    assert [bar.number for bar in bars] == [1, 2, 3, 4, 5]
    assert [bar.length_ticks for bar in bars] == [3840, 3840, 3360, 3360, 2880]
    assert [str(bar.metre) for bar in bars] == ["4/4", "4/4", "7/8", "7/8", "3/4"]


def test_a_pickup_is_bar_0() -> None:
    """A quarter's pickup is bar 0, counted as the bar's last beat; bar 1 starts after it."""
    timeline = Timeline(end_tick=960 + 3840, pickup_ticks=960)
    assert [(bar.number, bar.start_tick) for bar in timeline.bars()] == [(0, 0), (1, 960)]
    assert timeline.format_position(480) == "pickup, beat 4&"
    assert timeline.bar_start(1) == 960


def test_positions_are_counted_as_players_count() -> None:
    """Sixteenths are e & a, triplets trip let, and a hair before the beat is the beat."""
    timeline = Timeline(end_tick=7680)
    said = {tick: timeline.format_position(tick) for tick in (0, 240, 480, 720, 1280, 1600, 955, 3835)}
    assert said == {
        0: "bar 1, beat 1",
        240: "bar 1, beat 1e",
        480: "bar 1, beat 1&",
        720: "bar 1, beat 1a",
        1280: "bar 1, beat 2trip",
        1600: "bar 1, beat 2let",
        955: "bar 1, beat 2",
        3835: "bar 2, beat 1",
    }


def test_seconds_follow_changes_of_tempo() -> None:
    """A bar at 120 and a bar at 200 take 2 and 1.2 seconds."""
    assert CHANGING.tick_to_sec(3840) == 2.0
    assert CHANGING.tick_to_sec(7680) == 2.0 + 1.2
    assert CHANGING.tempo_at(3839) == 120
    assert CHANGING.tempo_at(3840) == 200


@given(st.integers(0, 10**7))
def test_ticks_survive_the_way_to_seconds_and_back(tick: int) -> None:
    """Every tick comes back from seconds as itself."""
    assert CHANGING.sec_to_tick(CHANGING.tick_to_sec(tick)) == tick


@given(st.integers(0, 10**6))
def test_every_tick_is_in_its_bar(tick: int) -> None:
    """The bar of a tick holds the tick, past the end too."""
    bar = CHANGING.bar_at(tick)
    assert bar.start_tick <= tick < bar.end_tick


@given(st.integers(1, 60))
def test_bar_start_finds_the_bar_again(number: int) -> None:
    """The tick at which a bar starts lies in the bar of that number."""
    bar = CHANGING.bar_at(CHANGING.bar_start(number))
    assert (bar.number, bar.start_tick) == (number, CHANGING.bar_start(number))


def test_metres_know_their_beats_and_groups() -> None:
    """Compound metres beat in dotted units, 7/8 groups 2+2+3, quarters stay single."""
    assert (Metre(6, 8).beat_ticks, Metre(12, 8).beat_ticks, Metre(7, 8).beat_ticks) == (1440, 1440, 480)
    assert Metre(7, 8).groups == (2, 2, 3)
    assert Metre(12, 8).groups == (3, 3, 3, 3)
    assert Metre(5, 4).groups == (1, 1, 1, 1, 1)


def test_tempo_is_whole_microseconds() -> None:
    """A tempo is kept as a MIDI file keeps it."""
    assert bpm_to_quarter_us(120) == 500_000
    assert Timeline.of(Metre(4, 4), 90, 2).tempos[0].quarter_us == 666_667
