"""Loops and the cursor that walks along them."""

from __future__ import annotations

from handgroove.groove.hits import Hit
from handgroove.groove.kit import Piece
from handgroove.live.core.loops import Cursor, Loop
from handgroove.patterns import read_pattern


def _loop(name: str, ticks: tuple[int, ...], length: int = 3840, piece: Piece = Piece.KICK) -> Loop:
    return Loop(name, tuple(Hit(tick, piece, 100) for tick in ticks), length)


def _take(cursor: Cursor, until_tick: int) -> list[int]:
    ticks = []
    while (tick := cursor.next_tick()) is not None and tick < until_tick:
        ticks.append(cursor.take()[0].tick)
    return ticks


def test_a_loop_goes_round() -> None:
    """Hits come again with each round, counted on in the song's ticks."""
    cursor = Cursor()
    cursor.start(_loop("a", (0, 960)), 0)
    assert _take(cursor, 8000) == [0, 960, 3840, 4800, 7680]


def test_a_start_in_the_midst_skips_what_is_past() -> None:
    """Starting from a song position, the loop lies as if it had run from the top."""
    cursor = Cursor()
    cursor.start(_loop("a", (0, 960)), 4000)
    assert _take(cursor, 9000) == [4800, 7680, 8640]


def test_a_change_begins_at_its_line() -> None:
    """The old loop ends and the new one begins at the line, each hit once."""
    cursor = Cursor()
    cursor.start(_loop("a", (0, 960, 1920)), 0)
    assert _take(cursor, 1000) == [0, 960]
    cursor.change(_loop("b", (0, 480)), 1920)
    assert _take(cursor, 6000) == [1920, 2400, 5760]


def test_the_last_change_for_a_line_counts() -> None:
    """Two changes for the same line: the later one is played."""
    cursor = Cursor()
    cursor.start(_loop("a", (0,)), 0)
    cursor.change(_loop("b", (100,)), 3840)
    cursor.change(_loop("c", (200,)), 3840)
    assert _take(cursor, 7000) == [0, 4040]


def test_a_fill_lands_in_place_of_the_hat_and_the_loop_goes_on() -> None:
    """After the fill its landing replaces the hat on 1; the next round is the loop's own again."""
    loop = Loop(
        "a", (Hit(0, Piece.KICK, 90), Hit(0, Piece.CLOSED_HAT, 90), Hit(960, Piece.CLOSED_HAT, 90)), 3840
    )
    fill = Loop("f", (Hit(0, Piece.SNARE, 90),), 3840, once=True, landing=(Hit(0, Piece.CRASH, 118),))
    cursor = Cursor()
    cursor.start(loop, 0)
    cursor.fill(fill, 3840, 3840, loop)
    played = []
    while (tick := cursor.next_tick()) is not None and tick < 3 * 3840 + 1:
        hit, _ = cursor.take()
        played.append((hit.tick, hit.piece))
    assert played[3:7] == [
        (3840, Piece.SNARE),
        (7680, Piece.KICK),
        (7680, Piece.CRASH),
        (8640, Piece.CLOSED_HAT),
    ]
    assert played[7:] == [(11520, Piece.KICK), (11520, Piece.CLOSED_HAT)]


def test_a_fill_from_the_midst_of_a_bar_plays_its_rest() -> None:
    """Asked for at the third beat, the fill's hits before that are skipped."""
    loop = _loop("a", (0,))
    fill = Loop("f", tuple(Hit(tick, Piece.SNARE, 90) for tick in range(0, 3840, 960)), 3840, once=True)
    cursor = Cursor()
    cursor.start(loop, 0)
    _take(cursor, 1)
    cursor.fill(fill, 0, 1920, loop)
    assert _take(cursor, 3841) == [1920, 2880, 3840]


def test_a_pattern_s_groove_makes_a_loop_of_whole_bars() -> None:
    """A loop is as long as its bars, even if the last hit falls earlier."""
    pattern = read_pattern("straight eighths")
    groove = pattern.groove()
    loop = Loop.of(groove, [hit.tick for hit in groove.hits], "groove")
    assert loop.length_ticks == pattern.bars * pattern.metre.bar_ticks


def test_a_hit_belongs_to_the_loop_whose_line_it_does_not_mean() -> None:
    """A stroke before the line that means the line is not played by the loop that ends there; one that drags is."""
    hits = tuple(Hit(tick, Piece.KICK, 100) for tick in (20, 1960, 3780))
    cursor = Cursor()
    cursor.start(Loop("a", hits, 7680, places=(0, 1680, 3840)), 0)
    cursor.change(_loop("b", (0,)), 1920)
    taken: list[tuple[int, int]] = []
    while len(taken) < 3:
        assert cursor.next_tick() is not None
        hit, place = cursor.take()
        taken.append((hit.tick, place))
    assert taken == [(20, 0), (1960, 1680), (1920, 1920)]


def test_a_loop_without_hits_waits_for_its_change() -> None:
    """Silence has no hits but ends where it is told to."""
    cursor = Cursor()
    cursor.start(Loop("rest", (), 3840), 0)
    assert cursor.next_tick() is None
    cursor.start(Loop("rest", (), 3840), 0)
    cursor.change(_loop("b", (0,)), 3840)
    assert cursor.next_tick() == 3840
