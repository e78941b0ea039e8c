"""Every pattern's own fills are found in songs made of it, and in songs without them there are none: laws."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from random import Random

from handgroove import read_pattern
from handgroove.groove.hits import Feel, Groove, Hit
from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.knowledge import know_groove
from handgroove.groove.read.rows import NOTE_OF
from handgroove.patterns import read_patterns
from handgroove.patterns.pattern import Pattern
from tests.laws.made import Drummer, humanise

SONGS = ((8, (4, 8)), (16, (4, 8, 12, 16)), (8, (8,)))  # bars, and the bars that fills begin in
MOST_MISSED = 0.1
PATTERNS = tuple(read_patterns())


def play_song(pattern: Pattern, bars: int, fills: dict[int, str], seed: int) -> Groove:
    """Return *bars* bars of *pattern* with *fills*, as a human being plays them, its feel left to be found."""
    return replace(humanise(pattern.groove(bars, fills=fills), Drummer(seed=seed)), feel=Feel())


def find_bars(groove: Groove) -> set[int]:
    """Return the numbers of the bars that are known as fills."""
    return set(know_groove(groove).fill_bars)


def make_songs(patterns: Sequence[Pattern]) -> Iterator[tuple[str, Groove, set[int]]]:
    """Yield songs of each of *patterns* with each of its fills: name, groove, bars that are fills."""
    for pattern in patterns:
        for number, fill in enumerate(pattern.fills):
            for bars, begins in SONGS:
                kept = [at for at in begins if at - 1 + fill.bars <= bars]
                song = play_song(pattern, bars, dict.fromkeys(kept, fill.name), 5 + number)
                filled = {at + more for at in kept for more in range(fill.bars)}
                yield f"{pattern.name}, {fill.name}, {bars} bars", song, filled


def test_most_fills_of_the_library_are_found_and_nothing_else() -> None:
    """At least nine in ten bars of fills are found over every other pattern, and not one other bar."""
    told = [(name, find_bars(song), filled) for name, song, filled in make_songs(PATTERNS[::2])]
    assert [(name, found - filled) for name, found, filled in told if found - filled] == []
    missed = sum(len(filled - found) for _, found, filled in told)
    assert missed <= MOST_MISSED * sum(len(filled) for _, _, filled in told)


def add_hits(groove: Groove, places: Sequence[tuple[int, Piece, int]]) -> Groove:
    """Return *groove* with strokes (tick, piece, velocity) added."""
    added = [Hit(tick, piece, velocity, NOTE_OF[piece]) for tick, piece, velocity in places]
    return replace(groove, hits=tuple(sorted((*groove.hits, *added), key=lambda hit: hit.order)))


def make_fill_free(pattern: Pattern) -> Iterator[tuple[str, Groove]]:
    """Yield 16 bars of *pattern* without a fill: alone, with crashes, hats open every fourth, ghosts, in two bars."""
    plain = play_song(pattern, 16, {}, 7)
    length, beat = pattern.metre.bar_ticks, pattern.metre.beat_ticks
    yield "alone", plain
    yield "crashes", add_hits(plain, [(bar * length, Piece.CRASH, 110) for bar in (4, 6, 12)])
    opened = [
        replace(hit, piece=Piece.OPEN_HAT, note=NOTE_OF[Piece.OPEN_HAT])
        if hit.piece is Piece.CLOSED_HAT
        and hit.tick // length % 4 == 3
        and hit.tick % length > length - beat / 2 - 60
        else hit
        for hit in plain.hits
    ]
    yield "open hats", replace(plain, hits=tuple(sorted(opened, key=lambda hit: hit.order)))
    random, step = Random(len(pattern.name)), length // 16
    ghosts = [(bar * length + random.randrange(16) * step, Piece.SNARE, 30) for bar in range(16)]
    yield "ghosts", add_hits(plain, ghosts)
    kicks = [(bar * length + length - beat // 2, Piece.KICK, 90) for bar in range(0, 16, 2)]
    yield "two bars", add_hits(plain, kicks)


def test_no_pattern_without_a_fill_has_one() -> None:
    """A pattern alone, with crashes, open hats every fourth bar, ghosts or a two-bar kick has no fill."""
    wrong = [
        (pattern.name, name, sorted(found))
        for pattern in PATTERNS[::2]
        for name, song in make_fill_free(pattern)
        if (found := find_bars(song))
    ]
    assert wrong == []


def test_a_snare_run_is_a_fill_only_where_it_is_not_the_groove_s_own() -> None:
    """Bars of a samba's snare are no fill, and two toms in its fourth bar are one."""
    samba = read_pattern("samba")
    assert find_bars(play_song(samba, 16, {}, 2)) == set()
    assert find_bars(play_song(samba, 16, {8: "two toms", 12: "two toms"}, 2)) == {8, 12}
    assert any(hit.piece.family is Family.SNARE for hit in samba.groove(1).hits)
