"""Knowing a groove: backbone, fills, count-in, feel and beat."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from handgroove.groove.hits import Feel, Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.groove.know.knowledge import ClipKind, know_groove
from handgroove.groove.meant.swing import swing
from handgroove.groove.tell.groove_words import describe
from handgroove.timeline import Metre, TempoChange, Timeline, bpm_to_quarter_us

STEP = 240
ROCK = {Piece.CLOSED_HAT: "x.x.x.x.x.x.x.x.", Piece.SNARE: "....X.......X...", Piece.KICK: "X.....x.X.x....."}
TOMS = {
    Piece.SNARE: "Xxxx............",
    Piece.HIGH_TOM: "....Xxxx........",
    Piece.MIDDLE_TOM: "........Xxxx....",
    Piece.FLOOR_TOM: "............Xxxx",
}
LOUD = {"g": 38, "x": 80, "X": 112}


def play(*bars: dict[Piece, str], tempo_bpm: float = 100, jitter_ticks: int = 0, seed: int = 1) -> Groove:
    """Return a groove of 4/4 *bars* written in sixteenths, each hit moved at random by up to *jitter_ticks*."""
    random = Random(seed)
    hits = [
        Hit(max(0, n * 3840 + i * STEP + random.randint(-jitter_ticks, jitter_ticks)), piece, LOUD[char])
        for n, bar in enumerate(bars)
        for piece, row in bar.items()
        for i, char in enumerate(row)
        if char in LOUD
    ]
    return Groove(tuple(sorted(hits, key=lambda h: h.order)), Timeline.of(Metre(4, 4), tempo_bpm, len(bars)))


CRASH = ROCK | {Piece.CRASH: "X..............."}


def test_fill_bar_between_groove_bars_is_found() -> None:
    """A bar down the toms in the fourth bar is a fill that begins on beat 1 and lands on the crash of bar 5."""
    known = know_groove(play(ROCK, ROCK, ROCK, TOMS, CRASH, ROCK, ROCK, ROCK, jitter_ticks=25))
    assert known.fill_bars == (4,)
    (fill,) = known.fills
    assert (fill.start_tick, fill.landing_tick) == (3 * 3840, 4 * 3840)
    assert fill.crash
    assert len(fill.hits) == 16
    assert known.kind is ClipKind.BEAT


def test_half_a_bar_of_fill_begins_where_the_groove_ends() -> None:
    """A fill in the bar's second half keeps the groove's first two beats out of it."""
    late = {piece: row[:8] + "." * 8 for piece, row in ROCK.items()}
    late[Piece.HIGH_TOM], late[Piece.FLOOR_TOM] = "........XxxX....", "............XxxX"
    known = know_groove(play(ROCK, ROCK, ROCK, late, CRASH, ROCK, ROCK, ROCK))
    assert known.fill_bars == (4,)
    assert known.fills[0].start_tick == 3 * 3840 + 2 * 960


def test_groove_without_fills_has_none() -> None:
    """Eight bars of one groove, and a variation of one kick, hold no fill."""
    varied = ROCK | {Piece.KICK: "X.....x.X.x...x."}
    known = know_groove(play(ROCK, ROCK, ROCK, varied, ROCK, ROCK, ROCK, varied, jitter_ticks=20))
    assert known.fill_bars == ()
    assert known.backbone.letters == ("A",) * 8
    assert known.backbone.is_variation(3)
    assert not known.backbone.is_variation(2)


def test_two_bar_groove_has_two_backbone_bars() -> None:
    """Bars that alternate make a backbone of two bars."""
    answer = {Piece.RIDE: "x...x...x...x...", Piece.SNARE: "..X...X.........", Piece.KICK: "X..x..X...x...X."}
    known = know_groove(play(*(ROCK, answer) * 4))
    assert known.backbone_bars == (1, 2)


def test_toms_alone_are_a_fill_and_a_beat_is_a_beat() -> None:
    """A one-bar clip down the toms is told a fill, two bars of rock a beat."""
    fill = know_groove(play(TOMS))
    assert (fill.kind, fill.fill_bars) == (ClipKind.FILL, (1,))
    assert know_groove(play(ROCK, ROCK)).kind is ClipKind.BEAT


def test_four_sticks_count_in() -> None:
    """Four even side sticks alone before the groove are a count-in, and the groove starts after them."""
    known = know_groove(play({Piece.SIDE_STICK: "X...X...X...X..."}, ROCK, ROCK, ROCK, jitter_ticks=15))
    assert known.count_in is not None
    timeline = known.groove.timeline
    assert (known.count_in.strokes, timeline.bar_at(known.count_in.start_tick + 60).number) == (4, 1)
    assert (timeline.lead_ticks, len(list(timeline.bars()))) == (3840, 3)
    assert known.fill_bars == ()


def test_hits_in_the_first_bars_last_beat_are_a_pickup() -> None:
    """Snares on the last two eighths of an otherwise empty bar are a pickup of a beat."""
    known = know_groove(play({Piece.SNARE: "............x.x."}, ROCK, ROCK, ROCK))
    assert known.pickup_ticks == 960
    assert [bar.number for bar in known.groove.timeline.bars()] == [0, 1, 2, 3]


@pytest.mark.parametrize(
    ("row", "name"), [("........X.......", "half-time"), ("..X...X...X...X.", "double-time")]
)
def test_backbeat_tells_half_and_double_time(row: str, name: str) -> None:
    """A backbeat on 3 alone is half-time, one on every offbeat double-time, in the bars where it is so."""
    other = ROCK | {Piece.SNARE: row}
    known = know_groove(play(ROCK, ROCK, other, other, other, ROCK))
    assert [(s.first, s.last, s.name) for s in known.time_feels] == [(3, 5, name)]


@pytest.mark.parametrize("ratio", [1.0, 1.5, 2.0, 2.5, 3.0])
@pytest.mark.parametrize("unit_ticks", [480, 240])
def test_swing_ratio_is_found(ratio: float, unit_ticks: int) -> None:
    """Swung eighths and sixteenths give their ratio back within a tenth, human timing (9 ms) and all."""
    feel = Feel(ratio, unit_ticks)
    row = "x.x.x.x.x.x.x.x." if unit_ticks == 480 else "xxxxxxxxxxxxxxxx"
    straight = play(*[ROCK | {Piece.CLOSED_HAT: row, Piece.KICK: "X.......X......."}] * 8, tempo_bpm=76)
    random = Random(3)
    hits = [
        replace(h, tick=max(0, round(float(swing(h.tick, feel)) + random.gauss(0, 11))))
        for h in straight.hits
    ]
    swung = replace(straight, hits=tuple(sorted(hits, key=lambda h: h.order)))
    found = know_groove(swung).feel
    assert found.swing_ratio == pytest.approx(ratio, abs=0.1 * ratio)
    if ratio > 1:
        assert found.swing_unit_ticks == unit_ticks


def test_drum_only_bars_beside_pitched_notes() -> None:
    """Bars with drums and no pitched note are an intro before the first note and a break between notes."""
    groove = play(*[ROCK] * 8)
    notes = [(2 * 3840, 4 * 3840 + 100), (6 * 3840, 8 * 3840)]
    known = know_groove(groove, sounding=notes)
    assert [(s.first, s.last, s.name) for s in known.drum_only] == [(1, 2, "intro"), (5, 6, "break")]


def test_take_without_a_tempo_gets_its_beat_found() -> None:
    """A take at 91 in a file that says 120 gets its own tempo and bars, with the doubt stated."""
    played = play(*[ROCK] * 12, tempo_bpm=91, jitter_ticks=12)
    blank = Timeline.of(Metre(4, 4), 120, 16)
    moved = [replace(h, tick=round(h.tick * 120 / 91) + 333) for h in played.hits]
    known = know_groove(Groove(tuple(moved), blank))
    assert known.tempo_bpm == pytest.approx(91, rel=0.005)
    assert known.beat is not None
    assert "no tempo of its own" in known.doubts[0]
    assert known.backbone.letters.count("A") >= 11


def test_steady_take_at_120_keeps_its_tempo() -> None:
    """A take that really is at 120 is left as it is."""
    groove = play(*[ROCK] * 8, tempo_bpm=120, jitter_ticks=25)
    known = know_groove(groove)
    assert known.beat is None
    assert known.groove.timeline == groove.timeline


def test_late_snare_is_measured() -> None:
    """A snare laid back by 20 ms shows as 20 ms behind, and the hat as on the grid."""
    groove = play(*[ROCK] * 8)
    late = [replace(h, tick=h.tick + (32 if h.piece is Piece.SNARE else 0)) for h in groove.hits]
    known = know_groove(replace(groove, hits=tuple(late)))
    timing = {item.piece: item.mean_ms for item in known.timing}
    assert timing[Piece.SNARE] == pytest.approx(20, abs=1)
    assert timing[Piece.CLOSED_HAT] == pytest.approx(0, abs=1)


@pytest.mark.parametrize("seed", range(12))
def test_any_hits_in_any_metre_can_be_known(seed: int) -> None:
    """Hits at random, few or many, in odd and tiny metres, are known and told without failing."""
    random = Random(seed)
    metre = Metre(random.choice((1, 3, 5, 7, 11)), random.choice((2, 4, 8, 16)))
    pieces = list(Piece)
    hits = [
        Hit(
            random.randrange(random.choice((900, 30_000))), random.choice(pieces[:20]), random.randint(1, 127)
        )
        for _ in range(random.choice((1, 2, 5, 80)))
    ]
    tempo = random.choice((40.0, 120.0, 300.0))
    groove = Groove(tuple(sorted(hits, key=lambda h: h.order)), Timeline.of(metre, tempo, 4))
    known = know_groove(groove)
    assert describe(known)
    assert len(known.bars) == len(known.cells) == len(known.backbone.letters)


def test_nothing_is_known_of_no_hits() -> None:
    """A groove without hits is told, not refused."""
    known = know_groove(Groove((), Timeline.of(Metre(4, 4), 100, 4)))
    assert (known.fill_bars, known.backbone_bars, known.kind) == ((), (), ClipKind.BEAT)


@pytest.mark.parametrize(
    ("gap_bars", "tempo_bpm", "told"),
    [(3, 84.0, True), (1, 84.0, False), (3, 100.0, False), (6, 140.0, True)],
)
def test_two_songs_in_one_file_are_told(gap_bars: int, tempo_bpm: float, told: bool) -> None:
    """Another tempo behind bars of silence is another song; a break, or a short rest before a new tempo, is not."""
    one = play(ROCK, ROCK, ROCK, ROCK)
    start = (4 + gap_bars) * 3840
    hits = (*one.hits, *(replace(hit, tick=hit.tick + start) for hit in one.hits))
    tempos = (*one.timeline.tempos, TempoChange(start - 1920, bpm_to_quarter_us(tempo_bpm)))
    timeline = replace(one.timeline, tempos=tempos, end_tick=start + 4 * 3840)
    doubts = know_groove(replace(one, hits=hits, timeline=timeline)).doubts
    assert [doubt for doubt in doubts if "another song" in doubt and f"bar {5 + gap_bars}," in doubt] == [
        doubt for doubt in doubts if "another song" in doubt
    ]
    assert any("another song" in doubt for doubt in doubts) is told
