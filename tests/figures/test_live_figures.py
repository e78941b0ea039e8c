"""Toms live, and fills prepared ahead."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from handgroove.figures.agreement import kendall_tau
from handgroove.figures.prepared import FillFigure, FillFigureSettings
from handgroove.figures.tom_contour import TomContour, TomContourSettings
from handgroove.groove.hits import Stroke
from handgroove.groove.kit import Piece
from handgroove.harmony.chord import parse_chord
from handgroove.host.registry import find_translator
from handgroove.strike import LeaveOut, Moment, Role
from handgroove.timeline import Metre
from tests.groove.know.test_knowledge import CRASH, TOMS, play

G7, C = parse_chord("G7"), parse_chord("C")
MOMENT = Moment(0, 1, 0, Metre(4, 4), 112.0, G7, (55, 59, 65), 31, Stroke.NORMAL, next_chord=C)


def test_line_follows_the_drums_note_by_note() -> None:
    """Down the toms live: the notes fall as the drums do, accents are chord tones, and no leap passes a fifth."""
    translator = TomContour(TomContourSettings.model_validate({}))
    pitches: list[int] = []
    heights: list[int] = []
    for hit in play(TOMS).hits:
        stroke = Stroke.ACCENT if hit.velocity > 100 else Stroke.NORMAL
        held = (pitches[-1],) if pitches else ()
        since = 240 if pitches else None
        moment = replace(
            MOMENT, tick=hit.tick, offset_ticks=hit.tick, stroke=stroke, right=held, since_ticks=since
        )
        answer = translator.strikes(hit, moment)
        assert not isinstance(answer, LeaveOut)
        pitches.append(answer[0].pitches[0])
        heights.append(hit.piece.height)
    assert kendall_tau(heights, pitches) > 0.8
    assert all(pitch % 12 in G7.tone_pcs for pitch in pitches[::4])
    assert max(abs(a - b) for a, b in pairwise(pitches)) <= 7


def test_tom_contour_is_found_by_its_name() -> None:
    """Patterns can name it, as any other translator."""
    assert find_translator("tom contour").name == "tom contour"


def test_prepared_fill_is_the_planned_figure() -> None:
    """A pattern's fill prepared ahead plays a figure of the offline search, landing included, delays from its start."""
    hits = [
        hit
        for hit in play(TOMS, CRASH, tempo_bpm=112).hits
        if hit.tick <= 3840 and hit.piece is not Piece.CLOSED_HAT
    ]
    moments = [
        replace(
            MOMENT,
            tick=hit.tick,
            bar=1 + hit.tick // 3840,
            offset_ticks=hit.tick % 3840,
            chord=G7 if hit.tick < 3840 else C,
            low=36,
        )
        for hit in hits
    ]
    answer = FillFigure(FillFigureSettings.model_validate({"choose": 3})).figure(hits, moments)
    assert not isinstance(answer, LeaveOut)
    line = [
        strike.pitches[0] for strike in answer if strike.role is Role.MELODY and strike.delay_ticks < 3840
    ]
    assert line == [77, 79, 77, 76, 74, 76, 74, 72, 71, 72, 71, 69, 67, 69, 67, 65]
    assert [strike.pitches for strike in answer if strike.delay_ticks == 3840] == [(36, 48), (55, 60, 64)]


def test_fill_of_feet_alone_is_left_out() -> None:
    """A fill with nothing to sing says so."""
    hits = play({Piece.KICK: "X...X..."}).hits
    moments = [replace(MOMENT, tick=hit.tick, offset_ticks=hit.tick) for hit in hits]
    assert isinstance(FillFigure(FillFigureSettings.model_validate({})).figure(hits, moments), LeaveOut)
