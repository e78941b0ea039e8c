"""The one reading: what was meant does not depend on how the take leans, scatters, drifts or was cut."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.groove.know.knowledge import know_groove
from handgroove.groove.meant.reading import Reading
from handgroove.timeline import Metre, Timeline
from tests.groove.meant.made import drifting, made, moved, played, ticks_of

NAMES = (
    "straight-eighths", "sixteenth-funk", "bossa-nova", "swing-ride", "shuffle", "waltz", "seven-eight",
    "five-four", "ballad-12-8", "ballad-6-8", "samba", "disco", "half-time-shuffle", "second-line",
)  # fmt: skip
FINEST = 240  # ticks: none of these is written in anything finer than sixteenths


def read(groove: Groove) -> Reading:
    """Return the reading of *groove*."""
    return know_groove(groove).reading


@pytest.mark.parametrize("name", NAMES)
def test_a_groove_from_the_grid_is_read_as_it_was_written(name: str) -> None:
    """Strokes on the pattern's own places are meant there, the swung ones on the even place."""
    groove = made(name)
    reading = read(groove)
    assert reading.lean_ticks == 0
    assert all(
        reading.swung(place) == hit.tick for hit, place in zip(groove.hits, reading.places, strict=True)
    )


@given(st.sampled_from(NAMES), st.integers(-60, 60), st.integers(1, 10_000))
@settings(max_examples=60, deadline=None)
def test_a_shifted_take_means_the_same(name: str, shift_ms: int, seed: int) -> None:
    """Up to 60 ms, and a third of the finest step, earlier or later: same places, same hits but for the lean."""
    take = played(made(name, 8, lead_bars=1), 8.0, seed)
    shift = ticks_of(take, shift_ms)
    if abs(shift) > FINEST // 3:
        return
    before, after = read(take), read(moved(take, shift))
    assert after.places == before.places
    assert after.lean_ticks == before.lean_ticks + shift
    assert after.groove.hits == before.groove.hits


@given(st.sampled_from(NAMES), st.integers(1, 10_000))
@settings(max_examples=40, deadline=None)
def test_a_player_s_scatter_is_not_another_rhythm(name: str, seed: int) -> None:
    """With 9 ms of scatter at least 97 strokes in a hundred are read where they were written."""
    written = made(name, 8, lead_bars=1)
    take = played(written, 9.0, seed)
    places = dict(zip([(h.piece, h.tick) for h in written.hits], read(written).places, strict=True))
    order = sorted(
        range(len(written.hits)), key=lambda i: (written.hits[i].piece.value, written.hits[i].tick)
    )
    again = sorted(range(len(take.hits)), key=lambda i: (take.hits[i].piece.value, take.hits[i].tick))
    found = read(take).places
    right = sum(
        found[b] == places[written.hits[a].piece, written.hits[a].tick]
        for a, b in zip(order, again, strict=True)
    )
    assert right >= 0.97 * len(order)


@pytest.mark.parametrize("name", ["straight-eighths", "sixteenth-funk", "bossa-nova", "swing-ride", "waltz"])
def test_a_drummer_who_drags_throughout_is_a_drummer_with_a_feel(name: str) -> None:
    """80 ms behind from first to last: the places are those of the beat, and the lean is told."""
    take = made(name, 8, lead_bars=1)
    late = moved(take, ticks_of(take, 80))
    assert read(late).places == read(take).places
    assert read(late).lean_ticks == ticks_of(take, 80)


@pytest.mark.parametrize("share", [0.05, -0.05])
@pytest.mark.parametrize("name", ["straight-eighths", "sixteenth-funk", "disco", "bossa-nova"])
def test_a_tempo_that_drifts_is_followed(name: str, share: float) -> None:
    """A take that ends a twentieth faster or slower, beats away from the file's, keeps its places, and says so."""
    take = made(name, 16)
    drifted = drifting(take, share)
    known = know_groove(drifted)
    same = sum(a == b for a, b in zip(known.reading.places, read(take).places, strict=True))
    assert same >= 0.97 * len(take.hits)
    assert any("leaves the file's tempo" in doubt for doubt in known.doubts)


def test_free_playing_is_told_and_written_where_it_falls() -> None:
    """Strokes that keep to no beat are no groove: a sentence says so, and nothing moves by more than half a 32nd."""
    random = Random(3)
    hits = tuple(Hit(tick, Piece.SNARE, 80) for tick in sorted(random.sample(range(30_000), 120)))
    reading = read(Groove(hits, Timeline.of(Metre(4, 4), 96, 8)))
    assert "rubato" in reading.doubt
    own = [index for index in range(len(hits)) if index not in reading.graces]
    assert all(abs(hits[index].tick - reading.places[index]) <= 60 for index in own)


def test_the_next_bar_s_one_is_a_final_chord_or_a_stray() -> None:
    """Crash and kick a hair before the last bar line have a bar of their own; a lone hat there is bar 4's last."""
    groove = made("straight-eighths", 4)
    end = groove.timeline.end_tick
    final = replace(
        groove, hits=(*groove.hits, Hit(end - 30, Piece.CRASH, 110), Hit(end - 28, Piece.KICK, 110))
    )
    assert read(final).places[-2:] == (end, end)
    assert sum(1 for _ in read(final).groove.timeline.bars()) == 5
    stray = replace(groove, hits=(*groove.hits, Hit(end - 30, Piece.CLOSED_HAT, 70)))
    assert read(stray).places[-1] < end
    assert read(stray).strays == {len(groove.hits)}
    assert not read(final).strays
    assert sum(1 for _ in read(stray).groove.timeline.bars()) == 4


def test_a_silent_bar_before_the_music_does_not_count() -> None:
    """With a bar of silence before it, and the first stroke early, the music's first bar is bar 1; a chart that has a
    chord for the silence says that it does."""
    take = moved(made("straight-eighths", 4, lead_bars=1), -40)
    known = know_groove(take)
    assert [bar.number for bar in known.groove.timeline.bars()] == [1, 2, 3, 4]
    assert known.groove.timeline.bar_at(known.reading.places[0]).number == 1
    assert len(list(know_groove(take, chart_bars=5).groove.timeline.bars())) == 5


def test_played_at_is_where_this_drummer_plays_it() -> None:
    """A bar line in the midst of strokes 20 ticks late is played 20 ticks late, the common lean aside."""
    take = played(made("straight-eighths", 8), 5.0)
    reading = read(take)
    off = sorted(h.tick - p for h, p in zip(reading.groove.hits, reading.places, strict=True))
    for line in range(3840, 7 * 3840, 3840):
        assert off[0] <= reading.played_at(line) - line <= off[-1]
