"""One step easier, one step harder."""

from __future__ import annotations

from dataclasses import replace

from handgroove.hands.difficulty import find_difficulty
from handgroove.hands.ease import Ease, simplify
from handgroove.hands.player import Player
from handgroove.hands.settle import settle
from handgroove.part import Change
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Metre, Timeline

LINE = Timeline.of(Metre(4, 4), 120, 4)


def busy_bar() -> list[Asked]:
    """Return a bar with chords in sixteenths, ghosts, a grace note, quick kicks and colour."""
    asked = [
        Asked(
            i * 240,
            Strike((60, 64, 67), 80, Hand.RIGHT, Role.COMPING, 200, weight=1.2 if i % 4 == 0 else 0.8),
            (i,),
        )
        for i in range(16)
    ]
    kicks = [(0, 1.2), (240, 1.0), (1920, 1.0), (2160, 0.8)]
    asked += [
        Asked(tick, Strike((36,), 90, Hand.LEFT, Role.KICK, 400, True, (5,), weight), (20 + n,))
        for n, (tick, weight) in enumerate(kicks)
    ]
    asked.append(Asked(1200, Strike((48,), 30, Hand.LEFT, Role.SNARE, 100, fingers=(1,), weight=0.3), (30,)))
    asked.append(Asked(930, Strike((47,), 30, Hand.LEFT, Role.SNARE, 30, fingers=(2,), grace=True), (31,)))
    asked.append(Asked(2880, Strike((72,), 60, Hand.RIGHT, Role.COLOUR, 300), (32,)))
    return asked


def mean_difficulty(asked: list[Asked]) -> float:
    """Return the mean figure of the settled part."""
    notes = settle(asked, Player(), LINE).notes
    figures = [item.figure for item in find_difficulty(notes, Player(), LINE)]
    return sum(figures) / len(figures)


def test_as_is_changes_nothing() -> None:
    """As it is stays as it is."""
    assert simplify(busy_bar(), Ease.AS_IS, LINE) == (busy_bar(), [])


def test_easier_is_thinner_and_told() -> None:
    """Easier keeps accents, thins chords to two notes, and every hit that goes has a line."""
    easier, lines = simplify(busy_bar(), "easier", LINE)
    kept = {hit for item in easier for hit in item.hits}
    assert {0, 4, 8, 12, 20, 22} <= kept
    assert {30, 31, 32, 21} & kept == set()
    assert all(len(item.strike.pitches) <= 2 for item in easier)
    told = {hit for line in lines for hit in line.hits}
    assert {hit for item in busy_bar() for hit in item.hits} - kept <= told
    assert {line.change for line in lines} == {Change.LEFT_OUT, Change.THINNED}


def test_harder_is_fuller() -> None:
    """Harder doubles accents at the octave and leaves the rest."""
    harder, lines = simplify(busy_bar(), Ease.HARDER, LINE)
    assert lines == []
    pitches = {item.hits[0]: item.strike.pitches for item in harder}
    assert pitches[0] == (55, 60, 64, 67)
    assert pitches[20] == (36, 48)
    assert pitches[1] == (60, 64, 67)
    fingers = {item.hits[0]: item.strike.fingers for item in harder}
    assert fingers[20] == (5, 0)


def test_levels_are_steps_of_difficulty() -> None:
    """The model's own figure agrees: easier is easier than as it is."""
    asked = busy_bar()
    easier, _ = simplify(asked, Ease.EASIER, LINE)
    assert mean_difficulty(easier) < mean_difficulty(asked)


def test_of_two_quick_chords_the_heavier_stays() -> None:
    """After a figure a light stroke comes first; the accents still are what is kept."""
    weights = [0.5, 1.0] * 4  # on the offbeats and the beats, a quarter of a second apart
    asked = [
        Asked(480 * n, Strike((60,), 80, Hand.RIGHT, Role.COMPING, 200, weight=weight), (n,))
        for n, weight in enumerate(weights, start=1)
    ]
    easier, lines = simplify(asked, Ease.EASIER, LINE)
    assert [item.tick for item in easier] == [960, 1920, 2880, 3840]
    assert sorted(hit for line in lines for hit in line.hits) == [1, 3, 5, 7]


def test_easier_has_no_graces_and_no_tremolo() -> None:
    """A flam is its main note and a roll its first, and what goes has its line."""
    main = Strike((45,), 80, Hand.LEFT, Role.SNARE, 240, fingers=(1,))
    flam = [
        Asked(930, replace(main, pitches=(43,), grace=True, delay_ticks=-30), (0,)),
        Asked(960, main, (1,)),
    ]
    roll = [Asked(1920 + ticks, replace(main, delay_ticks=ticks), (2 + ticks,)) for ticks in (0, 240, 480)]
    easier, lines = simplify([*flam, *roll], Ease.EASIER, LINE)
    assert [item.hits for item in easier] == [(1,), (2,)]
    assert {hit for line in lines for hit in line.hits} == {0, 242, 482}
