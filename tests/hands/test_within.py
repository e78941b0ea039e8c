"""Each step has every stroke of the one below, whatever hands can do."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise

import pytest

from handgroove.desk.desk import Desk
from handgroove.groove.kit import Family
from handgroove.groove.know.importance import PILLAR
from handgroove.hands.ease import BY_STEP, find_hits
from handgroove.hands.playability import Severity, check_notes
from handgroove.hands.player import Player, read_player
from handgroove.hands.settle import Settled, settle
from handgroove.hands.within import settle_over, settle_within
from handgroove.harmony.chart import parse_chart
from handgroove.part import Change
from handgroove.patterns import list_patterns, read_pattern
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Metre, Timeline

LINE = Timeline.of(Metre(4, 4), 120, 4)
CHARTS = ("| Am7 | Fmaj7 |", "| Dm9 G13 |", "| C/E | F | Bb7 |")


def make_desk(name: str) -> Desk:
    """Return a desk with four bars of a pattern and its fill, played loosely at some tempo by a made drummer."""
    dice = random.Random(name)
    pattern = read_pattern(name)
    pattern = replace(pattern, tempo_bpm=round(pattern.tempo_bpm * dice.choice((0.8, 1.0, 1.3, 1.6))))
    groove = pattern.groove(4, fills={4: ""} if pattern.fills else None)
    lean = dice.randint(0, 60)
    hits = [
        replace(
            hit,
            tick=hit.tick + lean + dice.randint(0, 24),
            velocity=max(1, min(127, hit.velocity + dice.randint(-12, 12))),
        )
        for hit in groove.hits
        if dice.random() > 0.05
    ]
    played = replace(groove, hits=tuple(sorted(hits, key=lambda hit: hit.order)))
    player = read_player(dice.choice(("", "octave", "small hand")))
    return Desk(played, parse_chart(dice.choice(CHARTS)), pattern, player)


@pytest.mark.parametrize("name", list_patterns())
def test_every_step_has_the_strokes_of_the_one_below(name: str) -> None:
    """What sounds at a step sounds at the next; kick on 1 and backbeats at all; nothing goes untold or unplayable."""
    desk = make_desk(name)
    parts = [desk.change(ease=ease).part for ease in BY_STEP]
    sounding = [find_hits(part.notes) for part in parts]
    assert all(plainer <= fuller for plainer, fuller in pairwise(sounding))
    hits = desk.reading.groove.hits
    pillars = {
        index
        for index, matters in enumerate(desk.known.importance)
        if matters >= PILLAR and hits[index].piece.family in {Family.KICK, Family.SNARE}
    }
    assert sounding[0] >= pillars & sounding[3]
    for part, heard in zip(parts, sounding, strict=True):
        told = {hit for line in part.omissions for hit in line.hits}
        assert heard | told >= set(range(len(hits)))
        faults = check_notes(part.notes, desk.player, part.timeline)
        assert not [fault for fault in faults if fault.severity is Severity.CANT]


def ask(tick: int, pitch: int, *hits: int, weight: float = 1.0) -> Asked:
    """Return one right-hand note asked for by *hits*."""
    return Asked(tick, Strike((pitch,), 80, Hand.RIGHT, Role.COMPING, 200, weight=weight), hits)


def play(asked: list[Asked]) -> Settled:
    """Return what the usual hands play."""
    return settle(asked, Player(), LINE)


def test_what_is_silent_above_is_silent_below() -> None:
    """A stroke that the fuller step lost is not asked again, and its line comes down with it."""
    row = [ask(60 * at, 60, at) for at in range(4)]  # 32 a second on one key
    above = play(row)
    lost = find_hits(row) - find_hits(above.notes)
    for asked in (row[:1], row[1:2], row[2:]):
        below = settle_within(lambda items: play(list(items)), asked, above)
        assert find_hits(below.notes) == find_hits(asked) - lost
        assert lost & find_hits(asked) <= {hit for line in below.omissions for hit in line.hits}
    assert lost


def test_additions_give_way_to_strokes() -> None:
    """An addition that would cost a stroke is given up, with a line; one that fits is played."""
    own = [ask(0, 60, 0), ask(1920, 60, 1)]
    spoils, fits = ask(20, 60, weight=50.0), ask(1920, 72)

    def last_wins(asked: list[Asked]) -> Settled:
        return play([item for item in asked if item.hits != (0,) or spoils not in asked])

    done = settle_over(lambda items: last_wins(list(items)), own, [spoils, fits], play(own))
    assert [(note.tick, note.pitch) for note in done.notes] == [(0, 60), (1920, 60), (1920, 72)]
    assert [(line.tick, line.change) for line in done.omissions] == [(20, Change.LEFT_OUT)]
