"""What hands strike of their own: stops, pushes and the low line, whatever the drummer plays."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove import read_pattern
from handgroove.desk.desk import Desk
from handgroove.desk.ends import STOP_HOLD_TICKS
from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Family, Piece
from handgroove.harmony.chart import Cue, parse_chart
from handgroove.part import Change, Note
from handgroove.patterns import Pattern
from handgroove.strike import Hand, Role

BAR = 3840
SNARE_NOTE = 38


def desk(groove: Groove, chart: str, pattern: Pattern) -> Desk:
    """Return the desk of *groove* over *chart*."""
    return Desk(groove, parse_chart(chart), pattern)


def without(groove: Groove, *families: Family, start: int = 0, end: int = 2**40) -> Groove:
    """Return *groove* without the hits of *families* (none named: of all) from *start* to *end*."""
    kept = [
        hit
        for hit in groove.hits
        if not (start <= hit.tick < end and (not families or hit.piece.family in families))
    ]
    return replace(groove, hits=tuple(kept))


def later(groove: Groove, ms: float) -> Groove:
    """Return *groove* with every hit *ms* later (before the beginning: at it)."""
    by_ticks = round(ms * groove.timeline.tempo_at(0) * 960 / 60_000)
    hits = [replace(hit, tick=max(0, hit.tick + by_ticks)) for hit in groove.hits]
    return replace(groove, hits=tuple(hits))


def with_snares(groove: Groove, ticks: Iterable[int]) -> Groove:
    """Return *groove* with snares at *ticks*, louder and louder."""
    snares = [Hit(tick, Piece.SNARE, 50 + 5 * number, SNARE_NOTE) for number, tick in enumerate(ticks)]
    return replace(groove, hits=tuple(sorted((*groove.hits, *snares), key=lambda hit: hit.order)))


def stop_faults(made: Desk) -> list[str]:
    """Return what is wrong with the stops of *made*'s chart."""
    part, faults = made.part, []
    for span in made.harmony.spans:
        if span.cue is not Cue.STOP:
            continue
        where = f"stop at {span.start_tick}"
        start = made.reading.played_at(span.start_tick) + made.reading.lean_ticks
        struck = [note for note in part.notes if note.meant == span.start_tick]
        left = [note.pitch for note in struck if note.hand is Hand.LEFT]
        right = {note.pitch % 12 for note in struck if note.hand is Hand.RIGHT}
        assert span.chord is not None
        if [pitch % 12 for pitch in left] != [span.chord.root.pc] * 2:
            faults.append(f"{where}: the left hand has {left}")
        if len(right) < 3 or not right <= span.chord.scale_pcs | span.chord.pcs:
            faults.append(f"{where}: the right hand has {right}")
        if any(abs(note.tick - start) > 60 for note in struck):
            faults.append(f"{where}: struck off its place")
        if any(span.start_tick < note.meant < span.end_tick for note in part.notes):
            faults.append(f"{where}: struck in the silence")
        sounding = [note for note in part.notes if note.meant <= span.start_tick]
        if any(note.end_tick > start + STOP_HOLD_TICKS + 60 for note in sounding):
            faults.append(f"{where}: rings on")
        if any(move.down and start <= move.tick for move in part.pedal if move.tick < start + 960):
            faults.append(f"{where}: pedal")
    return faults


STRAIGHT = "straight eighths"
ON_ONE = "| Am7 | C! | Fmaj7 | G7 |"
Played = Callable[[Groove], Groove]
CASES: dict[str, tuple[str, str, Played]] = {
    "the drummer plays on": (STRAIGHT, ON_ONE, lambda g: g),
    "the drummer forgets it": (STRAIGHT, ON_ONE, lambda g: without(g, start=BAR - 60, end=BAR + 60)),
    "the drummer rests for the bar": (STRAIGHT, ON_ONE, lambda g: without(g, start=BAR, end=2 * BAR)),
    "on 4": (STRAIGHT, "| Am7 | C . . F! | Fmaj7 | G7 |", lambda g: g),
    "on 4, forgotten": (
        STRAIGHT, "| Am7 | C . . F! | Fmaj7 | G7 |", lambda g: without(g, start=6700, end=6740)
    ),
    "on an offbeat": (STRAIGHT, "| Am7 | C . . . . F! . . | Fmaj7 | G7 |", lambda g: g),
    "pushed": (STRAIGHT, "| Am7 | Dm7 | >C! | G7 |", lambda g: g),
    "no chord, drums, a chord": (STRAIGHT, "| C! | N.C. | drums | G7 |", lambda g: g),
    "at the end": (STRAIGHT, "| Am7 | C | Fmaj7 | G7! |", lambda g: g),
    "at the end, all alone": (STRAIGHT, "| Am7 | C | F | G7! |", lambda g: without(g, start=3 * BAR - 60)),
    "two in a bar": (STRAIGHT, "| Am7 | C! F! | Fmaj7 | G7 |", lambda g: g),
    "two bars in a row": (STRAIGHT, "| Am7 | C! | C! | G7 |", lambda g: g),
    "held for two bars": (STRAIGHT, "| Am7 | C! | . . . . | G7 |", lambda g: g),
    "in three": ("waltz", ON_ONE, lambda g: g),
    "in seven": ("seven eight", "metre: 7/8\n| Am7 | C . F! | Fmaj7 | G7 |", lambda g: g),
    "swung": ("swing ride", "| Dm7 | G7 . . . . C! . . | Cmaj7 | A7 |", lambda g: g),
    "swung, no kick": ("swing ride", "| Dm7 | G7! | Cmaj7 | A7 |", lambda g: without(g, Family.KICK)),
    "behind the beat": (STRAIGHT, ON_ONE, lambda g: later(g, 40)),
    "before the beat": (STRAIGHT, ON_ONE, lambda g: later(g, -40)),
    "behind and forgotten": (STRAIGHT, ON_ONE, lambda g: without(later(g, 40), start=3800, end=4000)),
    "a ruff on it": (STRAIGHT, ON_ONE, lambda g: with_snares(g, (BAR - 150, BAR - 100, BAR - 50, BAR))),
    "a roll through it": (STRAIGHT, ON_ONE, lambda g: with_snares(g, range(BAR - 900, BAR + 900, 60))),
    "a fill into it": ("sixteenth funk", ON_ONE, lambda g: read_pattern("sixteenth funk").groove(4, fills={1: ""})),
    "a fill in it": ("sixteenth funk", ON_ONE, lambda g: read_pattern("sixteenth funk").groove(4, fills={2: ""})),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_a_stop_is_absolute(case: str) -> None:
    """Both hands strike it whole, where it is meant, and then nothing sounds until the chart goes on."""
    name, chart, played = CASES[case]
    pattern = read_pattern(name)
    made = desk(played(pattern.groove(4)), chart, pattern)
    assert any(span.cue is Cue.STOP for span in made.harmony.spans)
    assert stop_faults(made) == []
    told = {hit for note in made.part.notes for hit in note.hits}
    told |= {hit for line in made.part.omissions for hit in line.hits}
    assert told == set(range(len(made.part.groove.hits)))


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from([STRAIGHT, "swing ride", "waltz", "four on the floor", "ballad 12 8", "seven eight"]),
    st.integers(70, 180),
    st.integers(-40, 40),
    st.sets(st.integers(0, 60), max_size=12),
)
def test_a_stop_is_absolute_at_any_tempo_lean_and_luck(
    name: str, tempo_bpm: int, lean_ms: int, lost: set[int]
) -> None:
    """Whatever the metre, the tempo and the lean, and whichever strokes are missing."""
    pattern = read_pattern(name)
    groove = pattern.groove(4, tempo_bpm=tempo_bpm)
    kept = tuple(hit for number, hit in enumerate(groove.hits) if number not in lost)
    made = desk(later(replace(groove, hits=kept), lean_ms), ON_ONE, pattern)
    if not made.reading.doubt:
        assert stop_faults(made) == []


def low_line(made: Desk) -> list[tuple[int, int]]:
    """Return the place and pitch of the left hand's low notes."""
    return [
        (note.meant, note.pitch)
        for note in made.part.notes
        if note.hand is Hand.LEFT and note.role in (Role.KICK, Role.BASS)
    ]


def with_line(pattern: Pattern, line: str) -> Pattern:
    """Return *pattern* with another low line."""
    assignments = tuple(
        replace(one, settings={**one.settings, "line": line}) if one.use == "low note" else one
        for one in pattern.assignments
    )
    return replace(pattern, assignments=assignments)


SWING = "| Dm7 | G7 | Cmaj7 | A7b13 |"


def test_under_a_ride_the_left_hand_plays_in_two() -> None:
    """D2 A2 | G2 D2 | C2 G2 | A2 Eb2 under ride and pedal hat, no kick; 75 to 85 % as loud as the right hand."""
    pattern = read_pattern("swing ride")
    made = desk(without(pattern.groove(4, tempo_bpm=120), Family.KICK, Family.SNARE), SWING, pattern)
    places = range(0, 4 * BAR, BAR // 2)
    assert low_line(made) == list(zip(places, (38, 45, 43, 38, 36, 43, 45, 39), strict=True))
    left, right = (
        [note.velocity for note in made.part.notes if note.hand is hand] for hand in (Hand.LEFT, Hand.RIGHT)
    )
    assert 0.75 <= (sum(left) / len(left)) / (sum(right) / len(right)) <= 0.85
    assert all(note.hits == () for note in made.part.notes if note.hand is Hand.LEFT)


def test_under_a_ride_the_left_hand_may_walk() -> None:
    """D2 F2 A2 Ab2 | G2 F2 D2 Db2 | C2 E2 G2 G#2 | A2 G2 F2 Eb2."""
    pattern = with_line(read_pattern("swing ride"), "walking")
    made = desk(without(pattern.groove(4, tempo_bpm=120), Family.KICK, Family.SNARE), SWING, pattern)
    walk = (38, 41, 45, 44, 43, 41, 38, 37, 36, 40, 43, 44, 45, 43, 41, 39)
    assert low_line(made) == list(zip(range(0, 4 * BAR, 960), walk, strict=True))


def test_a_kick_stays_where_it_is_played() -> None:
    """A feathered kick has its notes too, on 1 and 3 the line's own, and no low note is struck twice."""
    pattern = read_pattern("swing ride")
    made = desk(pattern.groove(4, tempo_bpm=120), SWING, pattern)
    line = low_line(made)
    assert len(line) == len({place for place, _ in line})
    kicks = {i for i, hit in enumerate(made.part.groove.hits) if hit.piece is Piece.KICK}
    assert kicks == {hit for note in made.part.notes for hit in note.hits} & kicks
    two = [pitch for place, pitch in line if place % (BAR // 2) == 0]
    assert two == [38, 45, 43, 38, 36, 43, 45, 39]


def test_a_line_goes_on_where_the_drummer_leaves_one_beat_out() -> None:
    """A silent 3 is played where this drummer would; after half a bar of silence the line waits for the drummer."""
    pattern = read_pattern("swing ride")
    groove = without(pattern.groove(4, tempo_bpm=120), Family.KICK, Family.SNARE)
    gap = without(groove, start=1900, end=1940)
    assert [place for place, _ in low_line(desk(gap, SWING, pattern))][:3] == [0, 1920, 3840]
    silent = without(groove, start=100, end=BAR + 2000)
    assert [place for place, _ in low_line(desk(silent, SWING, pattern))][:2] == [0, 2 * BAR]


def test_a_line_stops_with_the_drummer() -> None:
    """After the last stroke nothing is added."""
    pattern = read_pattern("swing ride")
    groove = without(pattern.groove(4), Family.KICK, start=0)
    cut = without(groove, start=3 * BAR + 1000)
    assert max(place for place, _ in low_line(desk(cut, SWING, pattern))) <= 3 * BAR + 960


def test_bossa_takes_the_next_root_early_in_the_left_hand_alone() -> None:
    """D2 A2 A2 G2 | G2 D2 D2 D2; nothing in the right hand on 4&."""
    pattern = read_pattern("bossa nova")
    made = desk(pattern.groove(4), "| Dm9 | G13 |", pattern)
    assert [pitch for _, pitch in low_line(made)][:8] == [38, 45, 45, 43, 43, 38, 38, 38]
    assert not [n for n in made.part.notes if n.hand is Hand.RIGHT and n.meant % BAR == 3360]
    light = [n.velocity for n in made.part.notes if n.hand is Hand.LEFT][:4]
    assert light[1] < light[0]
    assert light[3] < light[2]


PUSH = "| C | &G |"


def at(made: Desk, place: int, hand: Hand) -> list[Note]:
    """Return what *hand* strikes at *place*."""
    return [note for note in made.part.notes if note.meant == place and note.hand is hand]


def test_a_marked_push_sounds_in_both_hands() -> None:
    """The worked push: B3 D4 G4 over G1 on 4&, held over the line where the kick strikes G1 again; no C sounds on."""
    pattern = read_pattern(STRAIGHT)
    made = desk(pattern.groove(2, tempo_bpm=112), PUSH, pattern)
    left = [(note.meant, note.pitch, note.finger) for note in made.part.notes if note.hand is Hand.LEFT]
    assert left[:7] == [
        (0, 36, 5), (960, 48, 1), (1440, 36, 5), (1920, 36, 5), (2880, 48, 1), (3360, 31, 5), (BAR, 31, 5)
    ]  # fmt: skip
    assert [note.pitch for note in at(made, 3360, Hand.RIGHT)] == [59, 62, 67]
    assert at(made, BAR, Hand.RIGHT) == []
    assert any("held over" in line.reason for line in made.part.omissions)
    assert not [n for n in made.part.notes if n.pitch % 12 == 0 and n.end_tick > 3360]


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from([STRAIGHT, "waltz", "four on the floor", "swing ride", "half time"]),
    st.integers(70, 150),
    st.integers(-30, 30),
    st.booleans(),
)
def test_a_marked_push_is_early_however_it_is_drummed(
    name: str, tempo_bpm: int, lean_ms: int, is_silent: bool
) -> None:
    """With or without a stroke on its place, at any tempo and lean: root, chord, and nothing of the old chord on."""
    pattern = read_pattern(name)
    groove = later(pattern.groove(4, tempo_bpm=tempo_bpm), lean_ms)
    bar = pattern.metre.bar_ticks
    if is_silent:
        groove = without(groove, start=bar - 600, end=bar - 200)
    made = desk(groove, "| C | >F#m7 | Bb | >Em |", pattern)
    if made.reading.doubt:
        return
    place = bar - 480
    assert 6 in {note.pitch % 12 for note in at(made, place, Hand.LEFT)}
    right = {note.pitch % 12 for note in at(made, place, Hand.RIGHT)}
    chord = made.harmony.at(place).chord
    assert chord is not None
    assert len(right) >= 2
    assert right <= chord.scale_pcs | chord.pcs
    played = min(note.tick for note in at(made, place, Hand.RIGHT))
    old = [note for note in made.part.notes if note.meant < place and note.pitch % 12 in (0, 7)]
    assert not [note for note in old if note.end_tick > played + 60]


def test_strokes_in_a_stop_are_told() -> None:
    """Each stroke that is silenced has its line, once."""
    pattern = read_pattern(STRAIGHT)
    lines = desk(pattern.groove(4), ON_ONE, pattern).part.omissions
    silent = [hit for line in lines if "the chart stops here" in line.reason for hit in line.hits]
    assert len(silent) == len(set(silent)) >= 8
    assert all(line.change is Change.LEFT_OUT for line in lines if "the chart stops here" in line.reason)
