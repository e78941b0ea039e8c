"""Five steps of ease: what is asked at each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from handgroove.desk.desk import Desk
from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.hands.difficulty import find_difficulty
from handgroove.hands.ease import BY_STEP, CELL, WHOLE, Ease, Stepped, find_steps
from handgroove.harmony.chart import parse_chart
from handgroove.part import Change, Note
from handgroove.patterns import read_pattern
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Metre, Timeline

LINE = Timeline.of(Metre(4, 4), 120, 4)
CHART = parse_chart("| Am7 | Fmaj7 |")


def with_ghost() -> Groove:
    """Return two bars of straight eighths with a ghost on 3&."""
    groove = read_pattern("straight eighths").groove(2)
    ghosts = [Hit(bar * 3840 + 2400, Piece.SNARE, 38) for bar in range(2)]
    return replace(groove, hits=tuple(sorted((*groove.hits, *ghosts), key=lambda hit: hit.order)))


def bar_one(ease: Ease, hand: Hand) -> list[Note]:
    """Return the notes of one hand in the first bar of those bars, at *ease*."""
    part = Desk(with_ghost(), CHART, ease=ease).part
    return [note for note in part.hand(hand) if note.tick < 3840]


LEFT = {
    Ease.BACKBEAT: [("1", 33), ("2", 45), ("4", 45)],
    Ease.BACKBONE: [("1", 33), ("2", 45), ("2&", 33), ("3", 33), ("4", 45), ("4&", 29)],
    Ease.WHOLE: [("1", 33), ("2", 45), ("2&", 33), ("3", 33), ("3&", 45), ("4", 45), ("4&", 29)],
}
LEFT |= {Ease.CELL: LEFT[Ease.BACKBONE], Ease.EASIER: LEFT[Ease.BACKBONE]}
LEFT |= dict.fromkeys((Ease.AS_IS, Ease.FULL, Ease.HARDER), LEFT[Ease.WHOLE])


@pytest.mark.parametrize("ease", Ease)
def test_the_left_hand_of_the_five_steps_is_exact(ease: Ease) -> None:
    """Kick on 1 and backbeats; the other kicks, the last as a push; the ghost, a third as loud."""
    left = bar_one(ease, Hand.LEFT)
    told = [(LINE.format_position(note.tick).partition("beat ")[2], note.pitch) for note in left]
    assert told == LEFT[ease]
    ghost = [note for note in left if note.tick == 2400]
    loud = max(note.velocity for note in left if note.pitch == 45)
    assert all(note.finger == 1 and 0.25 < note.velocity / loud < 0.42 for note in ghost)


def test_the_right_hand_of_the_five_steps_is_exact() -> None:
    """One chord held; the cell's chords; the thumb between; C5 on top, and the hats that the cell had let go."""
    held = bar_one(Ease.BACKBEAT, Hand.RIGHT)
    assert [(note.tick, note.pitch) for note in held] == [(0, 60), (0, 64), (0, 67)]
    assert all(note.end_tick == 3840 for note in held)

    def struck(ease: Ease) -> dict[int, list[int]]:
        found: dict[int, list[int]] = {}
        for note in bar_one(ease, Hand.RIGHT):
            found.setdefault(note.tick, []).append(note.pitch)
        return found

    chord, thumb = [60, 64, 67], [60]
    chords = {0: chord, 1440: chord, 2880: chord}
    assert struck(Ease.BACKBONE) == chords
    assert struck(Ease.CELL) == chords | {960: thumb, 2400: thumb, 3360: thumb}
    assert struck(Ease.WHOLE) == struck(Ease.CELL)
    full = struck(Ease.FULL)
    assert {tick: full[tick] for tick in chords} == {tick: [*chord, 72] for tick in chords}
    assert (full[480], full[1920]) == (thumb, [64, 67])


def test_the_words_are_steps() -> None:
    """Easier, as is and harder are one step down, none and one up; each step's name leads to it."""
    assert [ease.step for ease in (Ease.EASIER, Ease.AS_IS, Ease.HARDER)] == [3, 4, 5]
    assert [ease.step for ease in BY_STEP] == [1, 2, 3, 4, 5]
    assert Desk(with_ghost(), CHART, ease=Ease.WHOLE).part == Desk(with_ghost(), CHART).part


def test_easier_takes_something_away() -> None:
    """Where a groove has nothing but its cell, one step easier is the backbone."""
    plain = Desk(read_pattern("straight eighths").groove(2), CHART)
    easier, backbone = plain.change(ease=Ease.EASIER).part, plain.change(ease=Ease.BACKBONE).part
    assert easier.notes == backbone.notes
    assert len(easier.notes) < len(plain.part.notes)
    assert plain.change(ease=Ease.CELL).part.notes == plain.part.notes
    assert Stepped([], []).step_of(Ease.EASIER) == CELL


def strike(tick: int, role: Role, *pitches: int, hit: int, **change: object) -> Asked:
    """Return one strike of the groove's *hit*."""
    hand = Hand.LEFT if role in {Role.KICK, Role.SNARE} else Hand.RIGHT
    return Asked(tick, replace(Strike(pitches, 80, hand, role, 200), **change), (hit,))  # type: ignore[arg-type]


def steps(asked: Sequence[Asked], importance: Sequence[float]) -> list[int]:
    """Return the step of each strike."""
    return find_steps(asked, importance, LINE)


def test_what_goes_first_is_what_matters_least() -> None:
    """Ghosts and doubles, then light hats, then other kicks; the kick on 1, the backbeat and a chord stay."""
    asked = [
        strike(0, Role.KICK, 33, hit=0),
        strike(0, Role.COMPING, 60, 64, 67, hit=1),
        strike(480, Role.COMPING, 60, hit=2),
        strike(960, Role.SNARE, 45, hit=3),
        strike(960, Role.COMPING, 64, 67, hit=4),
        strike(1440, Role.KICK, 33, hit=5),
        strike(1680, Role.KICK, 33, hit=6),
        strike(2400, Role.SNARE, 45, hit=7),
        strike(2640, Role.SNARE, 45, hit=8),
    ]
    assert steps(asked, [1.8, 1.0, 0.8, 1.8, 0.95, 0.95, 0.55, 0.9, 0.35]) == [1, 1, 3, 1, 2, 2, 4, 3, 4]


def test_graces_and_rolls_belong_to_the_whole() -> None:
    """A flam is its main note and a roll its first; what goes has its line."""
    main = strike(960, Role.SNARE, 45, hit=1)
    flam = [strike(930, Role.SNARE, 43, hit=0, grace=True, delay_ticks=-30), main]
    roll = [strike(2880 + late, Role.SNARE, 45, hit=2 + late, delay_ticks=late) for late in (0, 240, 480)]
    asked = [*flam, *roll]
    importance = [1.8] * 500
    assert steps(asked, importance) == [WHOLE, 1, 1, WHOLE, WHOLE]
    kept, lines = Stepped(asked, steps(asked, importance)).thin(CELL, LINE)
    assert [item.hits for item in kept] == [(1,), (2,)]
    assert {hit for line in lines for hit in line.hits} == {0, 242, 482}
    assert {line.change for line in lines} == {Change.LEFT_OUT}


def test_a_figure_is_simplified_to_its_accents() -> None:
    """Four sixteenths with a heavier first are one note at the third step, held over those that go."""
    figure = [strike(3840 + 240 * at, Role.MELODY, 77 - at, hit=at) for at in range(8)]
    importance = [1.1, 0.8, 0.85, 0.8, 1.0, 0.8, 0.85, 0.8]
    found = steps(figure, importance)
    assert found == [3, 4, 4, 4, 3, 4, 4, 4]
    kept, lines = Stepped(figure, found).thin(CELL, LINE)
    assert [(item.tick, item.strike.hold_ticks) for item in kept] == [(3840, 960), (4800, 200)]
    assert all("accents" in line.reason for line in lines)
    assert len(lines) == 6


def test_each_chord_is_heard_at_the_first_step() -> None:
    """Where the chord changes inside a bar, its first step has a chord for each."""
    asked = [strike(480 * at, Role.COMPING, 60, 64, hit=at) for at in range(8)]
    assert find_steps(asked, [0.9] * 8, LINE).count(1) == 1
    halves = find_steps(asked, [0.9] * 8, LINE, [1920])
    assert [at for at, step in enumerate(halves) if step == 1] == [0, 4]


@pytest.mark.parametrize("name", ["sixteenth funk", "bossa nova", "straight eighths", "shuffle"])
def test_steps_are_steps_of_difficulty(name: str) -> None:
    """The hand model's own figure never falls from one step to the next, and rises from first to last."""
    desk = Desk(read_pattern(name).groove(4), CHART)
    means = []
    for ease in BY_STEP:
        part = desk.change(ease=ease).part
        figures = [bar.figure for bar in find_difficulty(part.notes, desk.player, part.timeline)]
        means.append(sum(figures) / len(figures))
    assert means == sorted(means)
    assert means[0] < means[-1]
