"""What is added for hands that want more."""

from __future__ import annotations

from dataclasses import replace

import pytest

from handgroove.desk.desk import Desk
from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.hands.ease import Ease, find_hits
from handgroove.hands.fuller import CHATTER_SEC, HIGHEST_TOP, find_octaves
from handgroove.harmony.chart import parse_chart
from handgroove.patterns import read_pattern
from handgroove.strike import Asked, Hand, Role, Strike

CHART = parse_chart("| Am7 | Fmaj7 |")


def chord(*pitches: int, hand: Hand = Hand.RIGHT) -> Asked:
    """Return one chord that is asked for."""
    return Asked(0, Strike(pitches, 80, hand, Role.COMPING, 480), (0,))


def test_whole_chords_get_their_low_note_on_top() -> None:
    """C4 E4 G4 gets C5; pairs, wide chords, high ones and the left hand's get nothing."""
    asked = [
        chord(60, 64, 67),
        chord(64, 67),
        chord(60, 64, 67, 72),
        chord(HIGHEST_TOP - 11, HIGHEST_TOP - 8, HIGHEST_TOP - 5),
        chord(48, 52, 55, hand=Hand.LEFT),
    ]
    assert [item.strike.pitches for item in find_octaves(asked)] == [(72,)]


def thinned(tempo: int) -> Groove:
    """Return sixteenth hats so fast that some are thinned out, with a rest in which there is room."""
    pattern = replace(read_pattern("sixteenth hats"), tempo_bpm=tempo)
    return pattern.groove(4)


@pytest.mark.parametrize("tempo", [96, 126, 150, 180])
def test_chatter_keeps_to_what_a_hand_rocks(tempo: int) -> None:
    """What was thinned out comes back only where a hand has time, and harder has all strokes that as is has."""
    desk = Desk(thinned(tempo), CHART, read_pattern("sixteenth hats"))
    whole, full = desk.part, desk.change(ease=Ease.HARDER).part
    assert find_hits(whole.notes) <= find_hits(full.notes)
    second = full.timeline.tick_to_sec
    for index in find_hits(full.notes) - find_hits(whole.notes):
        sec = second(full.groove.hits[index].tick)
        others = [second(note.tick) for note in full.hand(Hand.RIGHT) if index not in note.hits]
        assert min(abs(sec - other) for other in others) > CHATTER_SEC - 0.001


def test_a_lone_thinned_stroke_comes_back() -> None:
    """A hat that was thinned out before a rest is a light thumb at the fullest step, and no line tells of it."""
    base = read_pattern("straight eighths").groove(2)
    hats = [Hit(3840 + 240 * at, Piece.CLOSED_HAT, 70) for at in range(12)]
    drums = [hit for hit in base.hits if hit.piece is not Piece.CLOSED_HAT]
    groove = replace(base, hits=tuple(sorted((*drums, *hats), key=lambda hit: hit.order)))
    desk = Desk(groove, CHART, replace(read_pattern("straight eighths"), tempo_bpm=112))
    whole, full = desk.part, desk.change(ease=Ease.FULL).part
    told = {hit for line in whole.omissions for hit in line.hits} - find_hits(whole.notes)
    back = find_hits(full.notes) - find_hits(whole.notes)
    assert back <= told
    assert not back & {hit for line in full.omissions for hit in line.hits}
