"""Hooks over made grooves: their rhythm, contour and loudness are the groove's own."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations, pairwise
from random import Random

import pytest

from handgroove.figures.alone import Bars
from handgroove.figures.candidate import Candidate
from handgroove.figures.context import Surroundings
from handgroove.figures.figure_settings import FigureSettings
from handgroove.figures.hook import hook_candidates
from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.knowledge import Knowledge, know_groove
from handgroove.harmony.chart import lay_chart, parse_chart
from handgroove.strike import Asked
from handgroove.timeline import Metre, Timeline
from handgroove.translators.loudness import right_velocity

STEP = 240
TONES = {9, 0, 4, 7}  # of Am7
METRES = [Metre(4, 4), Metre(3, 4), Metre(6, 8), Metre(7, 8)]
Rows = dict[Piece, dict[int, int]]  # piece: sixteenth -> velocity

NAMED_N = {Piece.KICK: dict.fromkeys((0, 7, 10), 112), Piece.SNARE: dict.fromkeys((4, 12), 112)}


def make_rows(seed: int, metre: Metre = METRES[0], *, clipped: bool = False) -> Rows:
    """Return a bar of kick, snare and a tom at places of their own, some louder, over even hats."""
    random = Random(seed)
    steps = metre.bar_ticks // STEP
    places = sorted(random.sample(range(1, steps), min(6, steps // 2)))
    drums = [
        Piece.KICK,
        *random.choices((Piece.KICK, Piece.SNARE, Piece.SNARE, Piece.FLOOR_TOM), k=len(places)),
    ]
    rows: Rows = {Piece.CLOSED_HAT: dict.fromkeys(range(0, steps, 2), 60)}
    for place, drum in zip((0, *places), drums, strict=True):
        rows.setdefault(drum, {})[place] = random.choice((72, 84, 100, 116))
    return {piece: dict.fromkeys(row, 127) if clipped else row for piece, row in rows.items()}


@dataclass(frozen=True)
class Made:
    """Bars of *rows* over Am7, then as many again with the song over them, played *late_ticks* behind the beat."""

    rows: tuple[Rows, ...]
    metre: Metre = METRES[0]
    tempo_bpm: float = 104
    late_ticks: int = 0
    tune: int | None = 76

    @cached_property
    def known(self) -> Knowledge:
        """Return what is known of the groove."""
        hits = [
            Hit(number * self.metre.bar_ticks + place * STEP + self.late_ticks, piece, velocity)
            for number, bar in enumerate((*self.rows, *self.rows))
            for piece, row in bar.items()
            for place, velocity in row.items()
        ]
        timeline = Timeline.of(self.metre, self.tempo_bpm, 2 * len(self.rows))
        return know_groove(Groove(tuple(sorted(hits, key=lambda hit: hit.order)), timeline))

    @cached_property
    def candidates(self) -> list[Candidate]:
        """Return what may be played while the drums are alone."""
        count = len(self.rows)
        harmony = lay_chart(parse_chart("| Am7 " * (2 * count) + "|"), self.known.groove.timeline)
        tune = [(count * self.metre.bar_ticks, self.tune)] if self.tune else []
        song = Surroundings(self.known.reading, self.known.levels, harmony, first_notes=tune)
        return hook_candidates(song, self.known, Bars(0, count - 1))

    def bar(self, number: int, candidate: int = 0) -> dict[int, Asked]:
        """Return a hook's notes in bar *number* (from 0) by their sixteenth."""
        start = number * self.metre.bar_ticks
        return {
            (item.meant - start) // STEP: item
            for item in self.candidates[candidate].asked
            if start <= item.meant < start + self.metre.bar_ticks
        }

    def line(self, number: int) -> dict[int, int]:
        """Return the best hook's top notes in bar *number* by their sixteenth."""
        return {place: item.strike.pitches[-1] for place, item in self.bar(number).items()}


def drums_at(rows: Rows, place: int) -> dict[Piece, int]:
    """Return what but hats is struck at a sixteenth, and how hard."""
    return {
        piece: row[place] for piece, row in rows.items() if place in row and piece.family is not Family.HAT
    }


FAMILY = [(seed, metre) for seed in range(10) for metre in METRES]


@pytest.mark.parametrize(("seed", "metre"), FAMILY, ids=str)
def test_every_note_but_the_upbeat_is_a_stroke_of_the_drums(seed: int, metre: Metre) -> None:
    """All notes of the first three bars are on kick, snare or tom, few of them, and leave the hand time."""
    rows = make_rows(seed, metre)
    made = Made((rows,) * 4, metre)
    for number in range(3):
        places = sorted(made.bar(number))
        assert all(drums_at(rows, place) for place in places)
        assert 2 <= len(places) <= 5
    assert made.bar(0).keys() == made.bar(1).keys() == made.bar(2).keys()
    assert made.bar(0).keys() <= made.bar(3).keys()
    for item in made.candidates[0].asked:
        assert not item.hits or item.tick == made.known.groove.hits[item.hits[0]].tick


@pytest.mark.parametrize(("seed", "metre"), FAMILY, ids=str)
@pytest.mark.parametrize("clipped", [False, True])
def test_higher_drums_are_higher_notes(seed: int, metre: Metre, clipped: bool) -> None:
    """In the idea, and when it is said again, a higher drum is a higher note, clipped velocities or not."""
    rows = make_rows(seed, metre, clipped=clipped)
    made = Made((rows,) * 4, metre)
    for number in (0, 2):
        notes = [
            (max(p.height for p in drums_at(rows, at)), pitch) for at, pitch in made.line(number).items()
        ]
        for (height, pitch), (other_height, other) in combinations(notes, 2):
            if height != other_height:
                assert (height < other_height) == (pitch < other)


@pytest.mark.parametrize(("seed", "metre"), FAMILY, ids=str)
def test_louder_strokes_are_chord_tones_and_as_loud_as_the_drums(seed: int, metre: Metre) -> None:
    """What is louder than the bar's mean is a tone of the chord; every note is as loud as the drums at its place."""
    rows = make_rows(seed, metre)
    made = Made((rows,) * 4, metre)
    for number in range(4):
        for place, item in made.bar(number).items():
            loudest = max(row[place] for row in rows.values() if place in row) if item.hits else 0
            assert not loudest or item.strike.velocity == right_velocity(loudest)
    idea = made.bar(0)
    mean = sum(item.strike.velocity for item in idea.values()) / len(idea)
    louder = [item for item in idea.values() if item.strike.velocity > mean]
    assert all(item.strike.pitches[-1] % 12 in TONES for item in louder)


@pytest.mark.parametrize(("seed", "metre"), FAMILY, ids=str)
def test_four_bars_are_said_answered_said_again_and_led_on(seed: int, metre: Metre) -> None:
    """The third bar is the first, thicker where there is time; the second ends elsewhere; the last leads by step."""
    made = Made((make_rows(seed, metre),) * 4, metre)
    idea, answer, again = (made.line(number) for number in range(3))
    assert idea == again
    assert idea != answer
    assert max(answer) == max(idea)
    assert answer[max(answer)] != idea[max(idea)]
    last = made.line(3)
    assert last != idea
    assert 1 <= abs(last[max(last)] - 76) <= 2
    doubled = [item for item in made.bar(2).values() if len(item.strike.pitches) > 1]
    assert ("in two voices" in " ".join(made.candidates[0].reasons)) == bool(doubled)
    assert all(3 <= b - a <= 9 for item in doubled for a, b in pairwise(item.strike.pitches))


@pytest.mark.parametrize(("seed", "metre"), FAMILY, ids=str)
def test_two_bars_begin_alike_and_turn_to_the_song(seed: int, metre: Metre) -> None:
    """Of two bars the second has the first one's rhythm and first half, and then goes elsewhere."""
    made = Made((make_rows(seed, metre),) * 2, metre, tune=72)
    first, second = made.line(0), made.line(1)
    assert first.keys() <= second.keys()
    kept = sorted(first)[: len(first) // 2]
    assert all(first[place] == second[place] for place in kept)
    assert [*first.values()] != [*second.values()][: len(first)]
    assert 1 <= abs(second[max(second)] - 72) <= 2


@pytest.mark.parametrize("metre", METRES, ids=str)
def test_every_tune_is_met_by_step(metre: Metre) -> None:
    """Whatever note the song begins on, the last bar leads to it by a step."""
    for seed, tune in enumerate(range(62, 84)):
        last = Made((make_rows(seed, metre),) * 4, metre, tune=tune).line(3)
        assert 1 <= abs(last[max(last)] - tune) <= 2


@pytest.mark.parametrize("metre", METRES, ids=str)
def test_no_two_grooves_share_a_hook(metre: Metre) -> None:
    """Thirty grooves over one chord have thirty hooks, and most have a first bar of their own."""
    made = [Made((make_rows(seed, metre),) * 4, metre) for seed in range(30)]
    whole = {
        tuple((item.meant, item.strike.pitches, item.strike.velocity) for item in m.candidates[0].asked)
        for m in made
    }
    assert len(whole) == 30
    assert len({tuple(sorted(m.line(0).items())) for m in made}) >= 24


@pytest.mark.parametrize(("seed", "metre"), FAMILY, ids=str)
def test_candidates_differ_in_rhythm_or_contour(seed: int, metre: Metre) -> None:
    """No two candidates share both rhythm and contour."""
    heard = []
    for candidate in Made((make_rows(seed, metre),) * 4, metre).candidates:
        tops = [item.strike.pitches[-1] for item in candidate.asked]
        heard.append(
            ([item.meant for item in candidate.asked], [(b > a) - (b < a) for a, b in pairwise(tops)])
        )
    assert len(heard) >= 4
    assert all(one != other for one, other in combinations(heard, 2))


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize(("late_ticks", "tempo_bpm"), [(40, 104), (0, 76), (0, 120)])
def test_lean_and_tempo_change_nothing_that_is_meant(seed: int, late_ticks: int, tempo_bpm: float) -> None:
    """A drummer who plays late, or the same groove at another tempo, gives the same idea."""
    made = Made((make_rows(seed),) * 4)
    assert replace(made, late_ticks=late_ticks, tempo_bpm=tempo_bpm).line(0) == made.line(0)


def test_hook_follows_what_one_bar_does_otherwise() -> None:
    """A bar in which the drummer leaves one stroke of the idea out and plays another gives the hook that other."""
    rows = NAMED_N | {Piece.CLOSED_HAT: dict.fromkeys(range(0, 16, 2), 60)}
    moved = rows | {Piece.KICK: dict.fromkeys((0, 7, 9), 112)}
    made = Made((rows, rows, moved, rows, rows))
    assert sorted(made.bar(0)) == [0, 4, 7, 10, 12]
    assert 10 not in made.bar(2)
    assert "bent in each bar to what the drummer plays there" in made.candidates[0].reasons


def test_named_groove_over_two_bars() -> None:
    """Kick on 1, 2a, 3& and snare on 2 and 4: A4 E5 D5 C5 E5, then A4 E5 again and from B4 to C5."""
    rows = NAMED_N | {Piece.CLOSED_HAT: dict.fromkeys(range(0, 16, 2), 80)}
    made = Made((rows,) * 2, tempo_bpm=112, tune=72)
    assert made.line(0) == {0: 69, 4: 76, 7: 74, 10: 72, 12: 76}
    assert sorted(made.bar(1)) == [0, 4, 7, 10, 12, 14]
    assert (made.line(1)[0], made.line(1)[4], made.line(1)[14]) == (69, 76, 71)


def test_hook_comes_in_with_the_drummer() -> None:
    """Where the drums come in late in the first bar, nothing sounds before them."""
    rows = NAMED_N | {Piece.CLOSED_HAT: dict.fromkeys(range(0, 16, 2), 60)}
    late = {Piece.SNARE: {12: 112, 14: 90}}
    made = Made((late, rows, rows, rows))
    hook = made.candidates[0]
    assert min(item.meant for item in hook.asked) >= made.known.reading.places[0]
    assert "comes in with the drummer" in hook.reasons
    start = made.known.groove.timeline.bar_start(1)
    said = {item.meant - start: item.strike.pitches[-1] for item in hook.asked}
    assert [said[place * STEP] for place in (0, 4, 7, 10, 12)] == [69, 76, 74, 72, 76]


def test_drums_that_only_keep_time_give_their_accents() -> None:
    """A bar of nothing but hats becomes a hook on the accented ones."""
    rows = {Piece.CLOSED_HAT: {step: 115 if step in (2, 6, 11) else 50 for step in range(0, 16)}}
    assert set(Made((rows,) * 4).bar(0)) >= {2, 6, 11}


@pytest.mark.parametrize("seed", range(16))
def test_any_drums_in_any_metre_and_range_get_what_can_be_played(seed: int) -> None:
    """Hits at random, in tiny metres, over plain fifths and in a narrow range, give notes inside the bars."""
    random = Random(seed)
    metre = Metre(random.choice((1, 3, 5, 7, 11)), random.choice((2, 4, 8)))
    end = 4 * metre.bar_ticks
    hits = [
        Hit(random.randrange(end), random.choice(list(Piece)[:20]), random.randint(1, 127))
        for _ in range(random.choice((1, 3, 9, 70)))
    ]
    timeline = Timeline.of(metre, random.choice((50.0, 120.0, 260.0)), 4)
    known = know_groove(Groove(tuple(sorted(hits, key=lambda hit: hit.order)), timeline))
    harmony = lay_chart(parse_chart("| C5 | Am7 | N.C. | G7 |"), known.groove.timeline)
    low = random.randint(50, 70)
    settings = FigureSettings(lowest=low, highest=low + 7)
    song = Surroundings(known.reading, known.levels, harmony)
    for first in range(len(known.bars)):
        bars = Bars(first, len(known.bars) - 1)
        found = hook_candidates(song, known, bars, settings)
        assert bool(found) == any(part.hits for part in known.bars[first:])
        for item in found[0].asked if found else ():
            assert known.bars[first].bar.start_tick <= item.meant < known.bars[-1].bar.end_tick
            assert all(low <= pitch <= low + 7 for pitch in item.strike.pitches)
        only = hook_candidates(song, known, bars, replace(settings, candidates=1))
        assert only == found[:1]
