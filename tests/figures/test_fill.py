"""Fills as melodic figures."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from handgroove.figures.candidate import choose_different, weigh_terms
from handgroove.figures.context import Surroundings, landed_at
from handgroove.figures.figure_reasons import contour_agreement
from handgroove.figures.figure_search import find_paths, find_trill
from handgroove.figures.figure_settings import Contour, Doubling, FigureSettings, Sharing
from handgroove.figures.fill import fill_candidates, frame_fill
from handgroove.figures.render import landing_pitches
from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.groove.know.knowledge import know_groove
from handgroove.groove.know.levels import find_levels
from handgroove.hands.player import Player
from handgroove.hands.settle import settle
from handgroove.harmony.chart import lay_chart, parse_chart
from handgroove.harmony.chord import parse_chord
from handgroove.strike import Hand, Role
from tests.groove.know.made_songs import FILLS
from tests.groove.know.test_knowledge import CRASH, ROCK, TOMS, play

GOOD = "F5 G5 F5 E5 D5 E5 D5 C5 B4 C5 B4 A4 G4 A4 G4 F4"
GOOD_PITCHES = (77, 79, 77, 76, 74, 76, 74, 72, 71, 72, 71, 69, 67, 69, 67, 65)
LANDING = 3840


def song_of(fill: dict[Piece, str], chart: str = "| G7 | C |", tempo_bpm: float = 112) -> Surroundings:
    """Return a song of one bar of *fill* and one that begins with a crash."""
    groove = play(fill, CRASH, tempo_bpm=tempo_bpm)
    return Surroundings(
        know_groove(groove).reading, find_levels(groove), lay_chart(parse_chart(chart), groove.timeline)
    )


def fill_hits(song: Surroundings) -> list[int]:
    """Return the indices of the first bar's hits."""
    return [index for index, hit in enumerate(song.groove.hits) if hit.tick < LANDING]


def test_good_figure_is_among_the_best() -> None:
    """Down the toms over G7 to C: the sequence F5 G5 F5 E5 ... G4 A4 G4 F4 | E4 is one of the five best."""
    song = song_of(TOMS)
    found = fill_candidates(song, fill_hits(song), LANDING)
    assert GOOD_PITCHES in [candidate.pitches for candidate in found]
    best = next(candidate for candidate in found if candidate.pitches == GOOD_PITCHES)
    landing = [
        (item.tick, item.strike.hand, item.strike.pitches) for item in best.asked if item.tick == LANDING
    ]
    assert landing == [(LANDING, Hand.LEFT, (36, 48)), (LANDING, Hand.RIGHT, (55, 60, 64))]


def test_five_candidates_are_good_by_the_same_reasons() -> None:
    """All five fall as the drums do, lean on chord tones, move by step, and land by step on a tone of C."""
    song = song_of(TOMS)
    frame = frame_fill(song, fill_hits(song), LANDING)
    assert frame is not None
    paths = choose_different(find_paths(frame), 5)
    assert len(paths) == 5
    g7, c = {7, 11, 2, 5}, {0, 4, 7}
    for path in paths:
        assert {path.pitches[index] % 12 for index in (0, 4, 8, 12)} <= g7
        sizes = [abs(b - a) for a, b in pairwise(path.pitches)]
        assert sum(size <= 2 for size in sizes) / len(sizes) > 0.8
        assert contour_agreement(frame, path) == 1.0
        assert path.landing is not None
        assert path.landing % 12 in c
        assert 1 <= abs(path.landing - path.pitches[-1]) <= 2


def test_candidates_differ() -> None:
    """No two of the five share more than three quarters of their notes."""
    song = song_of(TOMS)
    found = fill_candidates(song, fill_hits(song), LANDING)
    for index, one in enumerate(found):
        for other in found[:index]:
            assert sum(a == b for a, b in zip(one.pitches, other.pitches, strict=True)) <= 12


def test_explained_terms_add_up_to_what_was_searched() -> None:
    """The cost told term by term is the cost that the search minimised."""
    song = song_of(TOMS | {Piece.SNARE: "X.xx......g....."}, "| Dm7 G7 | C |")
    frame = frame_fill(song, fill_hits(song), LANDING)
    assert frame is not None
    for path in find_paths(frame)[:20]:
        assert sum(weigh_terms(frame, path).values()) == pytest.approx(path.cost, abs=0.02)


def test_dull_and_wandering_figures_cost_more() -> None:
    """One note sixteen times, a chromatic fall, and arpeggios that end away cost more than any of the five."""
    song = song_of(TOMS)
    frame = frame_fill(song, fill_hits(song), LANDING, FigureSettings(tonal=0.4))
    assert frame is not None
    best = find_paths(frame)
    worst_of_five = choose_different(best, 5)[-1].cost
    arpeggio = (79, 74, 71, 67) * 4
    for dull in ((79,) * 16, tuple(range(80, 64, -1)), arpeggio):
        path = replace(best[0], pitches=dull, landing=64, motive=best[-1].motive)
        assert sum(weigh_terms(frame, path).values()) > worst_of_five + 1


def test_fill_up_the_toms_climbs() -> None:
    """A fill that goes up the drums becomes a line that goes up."""
    up = dict(zip(TOMS, reversed(list(TOMS.values())), strict=True))
    song = song_of(up)
    for candidate in fill_candidates(song, fill_hits(song), LANDING):
        assert candidate.pitches[0] < candidate.pitches[-1]


def test_flam_becomes_a_grace_note() -> None:
    """A soft stroke 20 ms before a loud one is that note's grace, not a note of its own."""
    song = song_of({Piece.SNARE: "X...X...X...X..."})
    hits = list(song.groove.hits)
    tick = hits[1].tick - 40
    hits.append(Hit(tick, Piece.SNARE, 40))
    groove = Groove(tuple(sorted(hits, key=lambda hit: hit.order)), song.groove.timeline)
    flammed = replace(song, reading=know_groove(groove).reading)
    (first, *_) = fill_candidates(flammed, fill_hits(flammed), LANDING)
    graces = [item for item in first.asked if item.strike.grace]
    assert len(first.pitches) == 4
    assert len(graces) == 1
    assert graces[0].tick < 960


def test_roll_becomes_a_tremolo_that_grows() -> None:
    """Thirty-second notes on the snare at 120 become a tremolo of two chord tones that grows louder."""
    hits = [Hit(round(i * 120), Piece.SNARE, 60 + 2 * i) for i in range(16)]
    landing = 16 * 120
    base = play(CRASH, tempo_bpm=140)
    groove = Groove((*hits, Hit(landing, Piece.CRASH, 112)), base.timeline)
    song = Surroundings(
        know_groove(groove).reading, find_levels(groove), lay_chart(parse_chart("| C |"), groove.timeline)
    )
    (best, *_) = fill_candidates(song, range(16), landing)
    roll = [item.strike for item in best.asked if item.tick < landing]
    assert len({strike.pitches for strike in roll}) == 2
    assert len(roll) < 16
    loudness = [strike.velocity for strike in roll]
    assert loudness == sorted(loudness)
    assert loudness[0] < loudness[-1]


def test_fast_fill_is_thinned_to_the_hand() -> None:
    """No two notes of one hand come closer than the settings' fastest allows, and every hit is answered for."""
    song = song_of(TOMS, tempo_bpm=200)
    settings = FigureSettings(fastest_per_sec=8.0)
    (best, *_) = fill_candidates(song, fill_hits(song), LANDING, settings)
    ticks = [item.tick for item in best.asked if item.strike.role is Role.MELODY]
    seconds = [song.sec(a, b) for a, b in pairwise(ticks) if b > a]
    assert min(seconds) >= 0.92 / 8
    assert {index for item in best.asked for index in item.hits} >= set(fill_hits(song))


def test_busy_setting_keeps_accents() -> None:
    """At busy 0 only the accents sing."""
    song = song_of(TOMS)
    (best, *_) = fill_candidates(song, fill_hits(song), LANDING, FigureSettings(busy=0.0))
    assert len(best.pitches) == 4


def test_range_and_tonality_are_kept() -> None:
    """No note leaves the range, and at full tonality none leaves the scale."""
    song = song_of(TOMS, "| G7 | Cm |")
    settings = FigureSettings(lowest=55, highest=76)
    for candidate in fill_candidates(song, fill_hits(song), LANDING, settings):
        assert all(55 <= pitch <= 76 for pitch in candidate.pitches)


def test_octaves_double_the_line_in_the_other_hand() -> None:
    """Doubled in octaves, every note has one an octave below in the left hand, and the kick is not played beside."""
    song = song_of(TOMS | {Piece.KICK: "X.......X......."})
    (best, *_) = fill_candidates(song, fill_hits(song), LANDING, FigureSettings(doubling=Doubling.OCTAVES))
    line = [item for item in best.asked if item.tick < LANDING]
    right = {(item.tick, item.strike.pitches[0]) for item in line if item.strike.hand is Hand.RIGHT}
    left = {(item.tick, item.strike.pitches[0] + 12) for item in line if item.strike.hand is Hand.LEFT}
    assert right == left
    kicks = {i for i in fill_hits(song) if song.groove.hits[i].piece is Piece.KICK}
    assert kicks <= set(best.hits)


def test_shared_hands_alternate() -> None:
    """Shared between the hands, single strokes alternate."""
    song = song_of({Piece.SNARE: "XxxxXxxxXxxxXxxx"})
    (best, *_) = fill_candidates(song, fill_hits(song), LANDING, FigureSettings(sharing=Sharing.BOTH))
    hands = [item.strike.hand for item in best.asked if item.tick < LANDING]
    assert hands == [Hand.RIGHT, Hand.LEFT] * 8


def test_free_contour_costs_the_drums_less() -> None:
    """With a free contour the same line pays less for leaving the drums' heights."""
    song = song_of(TOMS)
    literal = frame_fill(song, fill_hits(song), LANDING)
    free = frame_fill(song, fill_hits(song), LANDING, FigureSettings(contour=Contour.FREE))
    assert literal is not None
    assert free is not None
    assert free.contour_cost(0, 60, 64) < literal.contour_cost(0, 60, 64)


def test_figure_leads_to_the_tunes_first_note() -> None:
    """Where the tune begins on the landing, the figure leads to its note and leaves the landing to the tune."""
    song = replace(song_of(TOMS), first_notes=((LANDING, 67),))
    for candidate in fill_candidates(song, fill_hits(song), LANDING):
        assert candidate.landing == 67
        assert all(item.tick < LANDING for item in candidate.asked)


def test_fill_without_a_landing_ends_open() -> None:
    """Where nothing is struck on the next bar's 1, the figure ends with the drummer and nothing is landed on."""
    groove = play(TOMS, {Piece.SNARE: "....X..........."})
    song = Surroundings(
        know_groove(groove).reading,
        find_levels(groove),
        lay_chart(parse_chart("| G7 | C |"), groove.timeline),
    )
    for candidate in fill_candidates(song, fill_hits(song), LANDING):
        assert candidate.landing is None
        assert max(item.tick for item in candidate.asked) < LANDING


def test_rock_bar_has_its_sung_hits_only() -> None:
    """Hats and kicks are never sung: a bar of rock has its two snares."""
    song = song_of(ROCK)
    (best, *_) = fill_candidates(song, fill_hits(song), LANDING)
    assert len(best.pitches) == 2


@pytest.mark.parametrize("tempo_bpm", [80, 112, 150])
def test_no_figure_is_over_the_hand_model(tempo_bpm: float) -> None:
    """Every note of all five figures, landing included, is played by an ordinary pair of hands as it was asked."""
    song = song_of(TOMS, tempo_bpm=tempo_bpm)
    for candidate in fill_candidates(song, fill_hits(song), LANDING):
        settled = settle(candidate.asked, Player(), song.groove.timeline)
        wanted = {(item.tick, pitch) for item in candidate.asked for pitch in item.strike.pitches}
        assert {(note.tick, note.pitch) for note in settled.notes} == wanted
        assert all(note.finger for note in settled.notes)
        assert not settled.omissions


def test_no_chord_tone_rubs_against_the_landing() -> None:
    """Landing on the root of Fmaj7, its major seventh right below is left out: C and A carry it."""
    fmaj7 = parse_chord("Fmaj7")
    assert landing_pitches(65, fmaj7) == (57, 60, 65)
    assert landing_pitches(64, fmaj7) == (57, 60, 64)


@pytest.mark.parametrize(
    "fill",
    [
        {Piece.SNARE: "XxxxXxxxXxxxXxxx"},
        {Piece.HIGH_TOM: "X.X.X.X.X.X.X.X.", Piece.FLOOR_TOM: ".x.x.x.x.x.x.x.x"},
        {Piece.SNARE: "X.xxX.xxX.xxX.xx"},
    ],
)
def test_no_figure_trills(fill: dict[Piece, str]) -> None:
    """However much the drums go to and fro, a turn between two notes is said twice at most, in every candidate."""
    song = song_of(fill)
    found = fill_candidates(song, fill_hits(song), LANDING)
    assert found
    assert all(find_trill(candidate.pitches) is None for candidate in found)
    assert find_trill((60, 62, 60, 62, 60)) == 4
    assert find_trill((60, 62, 60, 62, 64)) is None


@pytest.mark.parametrize(
    ("row", "pitches", "landing"),
    [
        (FILLS[2][0], (77, 76, 74, 72, 71, 69, 67, 65), 64),  # F5 E5 D5 C5 B4 A4 G4 F4 | E4
        (FILLS[1][0], (74, 72, 71, 69), 67),  # D5 C5 B4 A4 | G4
    ],
)
def test_short_fills_have_their_good_figures(
    row: dict[Piece, str], pitches: tuple[int, ...], landing: int
) -> None:
    """Half a bar, and a beat, over G7 to C at 108: the good answer is among the candidates."""
    song = song_of(row, tempo_bpm=108)
    found = fill_candidates(song, fill_hits(song), LANDING)
    assert (pitches, landing) in [(candidate.pitches, candidate.landing) for candidate in found]


def test_a_figure_that_ends_open_goes_as_the_drums_do() -> None:
    """Down the toms with nothing to land on, every candidate still falls, but for a last note that turns."""
    groove = play(TOMS, {Piece.SNARE: "....X..........."})
    harmony = lay_chart(parse_chart("| G7 | C |"), groove.timeline)
    song = Surroundings(know_groove(groove).reading, find_levels(groove), harmony)
    frame = frame_fill(song, fill_hits(song), LANDING)
    assert frame is not None
    assert all(contour_agreement(frame, path) > 0.9 for path in choose_different(find_paths(frame), 5))


@pytest.mark.parametrize(("lead", "lands"), [(-140, 0), (-70, 12), (30, 12)])
def test_a_landing_is_the_crash_or_kick_and_not_the_ruff_before_it(lead: int, lands: int) -> None:
    """Snares that lead there don't make it sound early; where nothing else is struck the first snare is it."""
    ruff = [Hit(LANDING + lead + 40 * index, Piece.SNARE, 50) for index in range(3)]
    crash = Hit(LANDING + lands, Piece.CRASH, 100)
    assert landed_at([*ruff, crash, Hit(LANDING + lands + 5, Piece.KICK, 90)]) == LANDING + lands
    assert landed_at(ruff) == LANDING + lead
