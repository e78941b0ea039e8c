"""Whether a drummer can play it: two hands, a foot on the kick, a foot on the hat, and no faster than they go.

How fast a hand or a foot repeats is from memory: sixteenths by one hand or foot at 125 to the minute are a good
player's limit, eight strokes a second. A flam is two strokes so near each other that they need both hands.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import groupby, pairwise

import pytest

from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Family, Piece
from handgroove.groove.read.rows import NOTE_OF, parse_rows
from handgroove.groove.read.steps import Grid
from handgroove.patterns import Pattern, list_patterns, read_pattern
from handgroove.timeline import Metre, Timeline

NAMES = list_patterns()
REPEAT_SEC = 0.12
FEET = (Piece.KICK, Piece.PEDAL_HAT)
STICK_ON_HAT = (Piece.CLOSED_HAT, Piece.OPEN_HAT)


def find_drummer_faults(groove: Groove) -> list[str]:
    """Return what no drummer could play in *groove*; hand percussion is a second player's, claps are anybody's."""
    kit = [hit for hit in groove.hits if hit.piece.family is not Family.HAND and hit.piece is not Piece.CLAP]
    percussion = [hit for hit in groove.hits if hit.piece.family is Family.HAND]
    sticks = [hit for hit in kit if hit.piece not in FEET]
    faults = [*find_hand_faults(groove, sticks), *find_hand_faults(groove, percussion)]
    for piece in FEET:
        seconds = [groove.timeline.tick_to_sec(hit.tick) for hit in kit if hit.piece is piece]
        if any(after - before < REPEAT_SEC for before, after in pairwise(seconds)):
            faults.append(f"the foot repeats the {piece} too fast")
    footed = {hit.tick for hit in kit if hit.piece is Piece.PEDAL_HAT}
    faults += [
        f"{hit.tick}: the foot shuts the hat under a stick"
        for hit in kit
        if hit.piece in STICK_ON_HAT and hit.tick in footed
    ]
    return faults


def find_hand_faults(groove: Groove, hits: list[Hit]) -> Iterator[str]:
    """Yield where *hits* need a third hand, or a hand that is not yet back from its last stroke.

    Every way of sharing the strokes between two hands is followed: a way is when each hand struck last.
    """
    never = -1.0
    ways = {(never, never)}
    for tick, together in groupby(hits, key=lambda hit: hit.tick):
        strokes, now = len(list(together)), groove.timeline.tick_to_sec(tick)
        if strokes > 2:
            yield f"{tick}: {strokes} strokes need a third hand"
        moved = set[tuple[float, float]]()
        for one, other in ways:
            one_free, other_free = now - one >= REPEAT_SEC, now - other >= REPEAT_SEC
            if strokes >= 2 and one_free and other_free:
                moved.add((now, now))
            elif strokes == 1:
                moved |= {(now, other)} if one_free else set()
                moved |= {(one, now)} if other_free else set()
        if strokes <= 2 and not moved:
            yield f"{tick}: no hand is back in time"
        ways = moved or {(now, now)}


def make_groove(rows: Mapping[str, str], tempo_bpm: float = 120) -> Groove:
    """Make one bar of 4/4 in sixteenths from *rows*."""
    hits, bars, faults = parse_rows(rows, Grid(Metre(4, 4), 4))
    assert not faults
    made = [Hit(hit.tick, hit.piece, hit.velocity, NOTE_OF[hit.piece]) for hit in hits]
    return Groove(tuple(sorted(made, key=lambda hit: hit.order)), Timeline.of(Metre(4, 4), tempo_bpm, bars))


def lay_fills(pattern: Pattern) -> Iterator[Groove]:
    """Yield *pattern* twice through and on, as it is and with each of its fills in each bar that it can begin in."""
    bars = 2 * pattern.bars + 1
    yield pattern.groove(bars)
    for fill in pattern.fills:
        for bar in range(1, bars - fill.bars + 1):
            yield pattern.groove(bars, fills={bar: fill.name})


@pytest.mark.parametrize("name", NAMES)
def test_a_drummer_can_play_it(name: str) -> None:
    """Two hands and two feet play every pattern at its tempo, into each fill, through it and out of its landing."""
    for groove in lay_fills(read_pattern(name)):
        assert find_drummer_faults(groove) == []


@pytest.mark.parametrize(
    ("rows", "tempo_bpm", "fault"),
    [
        (
            {"hat": "x... x... x... x...", "snare": "x... .... .... ....", "crash": "x... .... .... ...."},
            100,
            "third hand",
        ),
        ({"snare": "xxxx xxxx xxxx xxxx"}, 260, "no hand is back"),
        ({"hat": "xxxx xxxx xxxx xxxx", "snare": "xxxx xxxx xxxx xxxx"}, 140, "no hand is back"),
        (
            {
                "low conga": "x... .... x... ....",
                "open conga": "x... .... .... ....",
                "cowbell": "x... .... .... ....",
            },
            100,
            "third",
        ),
        ({"kick": "xx.. .... .... ...."}, 140, "too fast"),
        ({"hat": "x.o. x.o. x.o. x.o.", "pedal hat": "..x. .... .... ...."}, 100, "under a stick"),
        ({"hat": "x.x. x.x. x.x. x.x.", "pedal hat": ".... x... .... x..."}, 100, "under a stick"),
    ],
)
def test_what_no_drummer_can_play_is_found(rows: dict[str, str], tempo_bpm: float, fault: str) -> None:
    """A third hand, strokes too fast for a hand or a foot, and a stick on the hat that the foot works are all found."""
    faults = find_drummer_faults(make_groove(rows, tempo_bpm))
    assert faults
    assert all(fault in text for text in faults)


def test_a_flam_takes_both_hands() -> None:
    """Two strokes thirty milliseconds apart are played by two hands, so a third stroke with them is not."""
    flam = [Hit(960, Piece.SNARE, 80, 38), Hit(1018, Piece.SNARE, 112, 38)]
    timeline = Timeline.of(Metre(4, 4), 120, 1)
    assert find_drummer_faults(Groove(tuple(flam), timeline)) == []
    with_tom = (*flam, Hit(1018, Piece.FLOOR_TOM, 112, 43))
    assert find_drummer_faults(Groove(with_tom, timeline)) == ["1018: no hand is back in time"]


def test_claps_and_hand_drums_are_other_players() -> None:
    """A clap over hat and snare, or a conga over both, takes none of the drummer's hands."""
    rows = {"hat": "x... x... x... x...", "snare": ".... x... .... x...", "clap": ".... x... .... x..."}
    assert find_drummer_faults(make_groove({**rows, "open conga": ".... x... .... x..."})) == []
