"""How much each stroke matters."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import pytest

from handgroove.groove.hits import Groove, Hit, Stroke
from handgroove.groove.kit import Piece
from handgroove.groove.know.cells import Voice
from handgroove.groove.know.importance import PILLAR, backbeats, weigh_stroke
from handgroove.groove.know.knowledge import know_groove
from handgroove.patterns import list_patterns, read_pattern
from handgroove.timeline import Metre, Timeline

FOUR = Metre(4, 4)


def find(groove: Groove) -> dict[tuple[float, Piece], float]:
    """Return the importance of each hit by its place in quarters and its piece."""
    known = know_groove(groove)
    places, hits = known.reading.places, known.groove.hits
    return {
        (place / 960, hit.piece): weight
        for place, hit, weight in zip(places, hits, known.importance, strict=True)
    }


def pillars(groove: Groove, bar_quarters: float, piece: Piece) -> set[float]:
    """Return where in their bars (quarters) the pillars of *piece* are."""
    return {
        place % bar_quarters
        for (place, own), weight in find(groove).items()
        if own is piece and weight >= PILLAR
    }


def test_the_pillars_of_rock_are_the_one_and_the_backbeats() -> None:
    """The kick on 1 and the snare on 2 and 4 stand above all else; a hat is never a pillar there."""
    rock = read_pattern("straight eighths").groove(4)
    assert pillars(rock, 4, Piece.KICK) == {0}
    assert pillars(rock, 4, Piece.SNARE) == {1, 3}
    assert pillars(rock, 4, Piece.CLOSED_HAT) == set()


@pytest.mark.parametrize(
    ("name", "quarters", "piece", "where"),
    [
        ("one drop", 4, Piece.KICK, {2}),
        ("one drop", 4, Piece.SIDE_STICK, {2}),
        ("samba", 2, Piece.KICK, {0, 1}),
        ("swing ride", 4, Piece.KICK, {0}),
        ("swing ride", 4, Piece.PEDAL_HAT, {1, 3}),
        ("half time", 4, Piece.SNARE, {2}),
    ],
)
def test_a_style_has_pillars_of_its_own(name: str, quarters: float, piece: Piece, where: set[float]) -> None:
    """Reggae has the drop, samba the heavy 2, swing the 1 and the foot's hat, half-time the 3."""
    assert pillars(read_pattern(name).groove(4), quarters, piece) == where


def test_metres_have_their_own_backbeats() -> None:
    """Every second beat from the second: in 12/8 of dotted quarters, in 2/4 the second."""
    assert backbeats(FOUR) == {960, 2880}
    assert backbeats(Metre(12, 8)) == {1440, 4320}
    assert backbeats(Metre(2, 4)) == backbeats(Metre(3, 4)) == {960}


def made(strokes: Iterable[tuple[float, Piece, int]], bars: int = 4, tempo: int = 120) -> Groove:
    """Return *bars* bars of 4/4 that each have *strokes* (quarter, piece, velocity)."""
    hits = [
        Hit(round((4 * bar + place) * 960), piece, loud)
        for bar in range(bars)
        for place, piece, loud in strokes
    ]
    timeline = Timeline.of(FOUR, tempo, bars)
    return Groove(tuple(sorted(hits, key=lambda hit: hit.order)), timeline)


BASE = [
    *((half / 2, Piece.CLOSED_HAT, 100 if half % 2 == 0 else 70) for half in range(8)),
    *((place, Piece.KICK, 100) for place in (0, 2)),
    *((place, Piece.SNARE, 110) for place in (1, 3)),
]


@pytest.mark.parametrize("tempo", [70, 100, 140, 200])
def test_ghosts_and_doubles_matter_least(tempo: int) -> None:
    """A ghost matters less than a double, that less than a main kick elsewhere, and that less than a pillar."""
    extra = [(1, Piece.KICK, 100), (3.25, Piece.SNARE, 35)]
    quick = 0.15 * tempo / 60  # quarters in 0.15 of a second: a double at any tempo
    found = find(made([*BASE, *extra], tempo=tempo))
    assert found[3.25, Piece.SNARE] < found[1, Piece.KICK] < found[0, Piece.KICK]
    near = find(made([*BASE, (2 + quick, Piece.KICK, 100)], tempo=tempo))
    double = next(weight for (place, piece), weight in near.items() if piece is Piece.KICK and 2 < place < 3)
    assert found[3.25, Piece.SNARE] < double < found[1, Piece.KICK]


def test_what_comes_back_matters_more() -> None:
    """The same kick matters more where every bar has it than where one bar in eight does."""
    always = find(made([*BASE, (2.5, Piece.KICK, 100)], 8))[2.5, Piece.KICK]
    base = made(BASE, 8)
    once = replace(base, hits=tuple(sorted((*base.hits, Hit(2400, Piece.KICK, 100)), key=lambda h: h.order)))
    assert find(once)[2.5, Piece.KICK] < always


def test_a_push_before_a_silent_one_matters_more() -> None:
    """A kick on 4& is syncopated where no kick follows on 1, and not where one does."""
    with_one = find(made([*BASE, (3.5, Piece.KICK, 100)]))[3.5, Piece.KICK]
    without = [stroke for stroke in BASE if stroke[:2] != (0, Piece.KICK)]
    assert find(made([*without, (3.5, Piece.KICK, 100)]))[3.5, Piece.KICK] > with_one


def test_a_soft_backbeat_is_one() -> None:
    """A snare of 54 on 2 is the backbeat, however loud others are; one of 35 is a ghost."""
    soft = [stroke for stroke in BASE if stroke[1] is not Piece.SNARE] + [(3, Piece.SNARE, 120)]
    assert find(made([*soft, (1, Piece.SNARE, 54)]))[1, Piece.SNARE] >= PILLAR
    assert find(made([*soft, (1, Piece.SNARE, 35)]))[1, Piece.SNARE] < PILLAR


@pytest.mark.parametrize("name", list_patterns())
def test_only_pillars_stand_so_high(name: str) -> None:
    """Every hit has one number over nothing, and a bar has a handful of pillars at most."""
    known = know_groove(read_pattern(name).groove(4))
    assert len(known.importance) == len(known.groove.hits)
    assert min(known.importance) > 0
    bars = sum(bool(part.hits) for part in known.bars)
    assert 1 <= sum(weight >= PILLAR for weight in known.importance) / bars <= 8


def test_a_stroke_is_weighed_as_it_comes() -> None:
    """Where only the bar so far is known the order is the same: pillar, kick, hat, ghost."""
    order = [
        weigh_stroke(Voice.SNARE, Stroke.NORMAL, FOUR, 960),
        weigh_stroke(Voice.KICK, Stroke.NORMAL, FOUR, 1440),
        weigh_stroke(Voice.TIME, Stroke.NORMAL, FOUR, 1440),
        weigh_stroke(Voice.GHOST, Stroke.GHOST, FOUR, 1440),
    ]
    assert order == sorted(order, reverse=True)
    assert order[0] >= PILLAR > order[1]
