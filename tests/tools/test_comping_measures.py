"""Each measure of comping holds for a part that is as it should be, and tells of one that isn't."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import permutations
from random import Random

import handgroove
from handgroove.desk.desk import Desk
from handgroove.part import Note, Part
from handgroove.strike import Hand
from tests.styles import with_style
from tests.tools.music import comping_measures as comping
from tests.tools.music.heard import Heard

PATTERN = handgroove.read_pattern("straight eighths")
CHART = handgroove.parse_chart("| Am7 | Fmaj7 | C | G |")


@dataclass(frozen=True)
class _Told(Heard):
    """A take whose part is another."""

    other: Part | None = None

    @property
    def part(self) -> Part:
        """Return the other part."""
        assert self.other is not None
        return self.other


def heard(bars: int = 8, style: str = "cell") -> Heard:
    """Return straight eighths."""
    return Heard("made", Desk(PATTERN.groove(bars), CHART, with_style(PATTERN, style)))


def doctored(change: Callable[[Note], Note | None], take: Heard | None = None) -> Heard:
    """Return a take whose right-hand notes are changed, or gone where *change* gives nothing."""
    take = take or heard()
    notes = [change(note) if note.hand is Hand.RIGHT else note for note in take.part.notes]
    part = replace(take.part, notes=tuple(note for note in notes if note is not None))
    return _Told(take.name, take.desk, part)


def lowest_of(take: Heard) -> set[tuple[int, int]]:
    """Return place and pitch of the lowest note of each of the right hand's strokes."""
    return {(stroke.place, stroke.pitches[0]) for stroke in comping.right_strokes(take.part)}


def test_what_the_program_makes_holds() -> None:
    """The plain pattern's cell has no fault."""
    take = heard()
    for measure in (
        comping.hammered,
        comping.machine_gun,
        comping.bare_bars,
        comping.alike,
        comping.out_of_nothing,
    ):
        count = measure(take)
        assert count.found == 0, measure
    assert comping.seconds(take).found == 0
    for share, aim in (
        (comping.chords_on_strokes, 0.95),
        (comping.accents_answered, 0.6),
        (comping.every_hat_sounds, 0.95),
        (comping.kept, 0.6),
    ):
        count = share(take)
        assert count.found >= aim * count.of > 0, share


def test_one_note_of_each_chord_is_found() -> None:
    """Chords that are one key are bare bars, and, each the same, one key hammered."""
    low = lowest_of(heard())
    bare = doctored(lambda note: replace(note, pitch=60) if (note.meant, note.pitch) in low else None)
    count = comping.bare_bars(bare)
    assert count.found == count.of == 8
    assert comping.hammered(bare).found > 20


def test_seconds_are_found() -> None:
    """Pairs whose notes are a second apart are told."""
    low = lowest_of(heard())

    def rub(note: Note) -> Note | None:
        if (note.meant, note.pitch) in low:
            return replace(note, pitch=60)
        return replace(note, pitch=62) if note.pitch in (64, 62) else None

    count = comping.seconds(doctored(rub))
    assert count.found == count.of > 10


def test_a_machine_gun_is_found() -> None:
    """The same whole chord every eighth of a beat at 112 is told."""
    take = heard(2)
    chord = [note for note in take.part.hand(Hand.RIGHT) if note.meant == 0]
    many = [replace(note, tick=120 * i, place=120 * i) for i in range(32) for note in chord]
    assert comping.machine_gun(_Told("made", take.desk, replace(take.part, notes=tuple(many)))).found == 31


def test_eight_bars_alike_are_found_and_a_chord_here_and_there_keeps_nothing() -> None:
    """Bars that repeat the first have no variety; chords that wander have no cell."""
    take = heard()
    first = [note for note in take.part.hand(Hand.RIGHT) if note.meant < 3840]
    same = [replace(n, tick=n.tick + b * 3840, place=n.meant + b * 3840) for b in range(8) for n in first]
    assert comping.alike(_Told("made", take.desk, replace(take.part, notes=tuple(same)))).found == 1
    chord = [note for note in first if note.meant == 0]
    places = [b * 3840 + 480 * b for b in range(8)]
    wandering = [replace(note, tick=at, place=at) for at in places for note in chord]
    assert comping.kept(_Told("made", take.desk, replace(take.part, notes=tuple(wandering)))).found == 0


def test_one_chord_each_half_bar_is_not_enough() -> None:
    """A triad on 1 and 3 answers half of the hat's accents; on 1& and 3& it stands on none, and on 1e on no stroke."""
    take = heard()
    chord = [note for note in take.part.hand(Hand.RIGHT) if note.meant == 0]

    def at(offset: int) -> Heard:
        places = [half * 1920 + offset for half in range(16)]
        notes = tuple(replace(note, tick=place, place=place) for place in places for note in chord)
        return _Told("made", take.desk, replace(take.part, notes=notes))

    count = comping.accents_answered(at(0))
    assert count.found < 0.6 * count.of
    assert comping.chords_on_strokes(at(240)).found == 0
    assert comping.out_of_nothing(at(240)).found == 16
    assert comping.out_of_nothing(at(480)).found == 0


def test_cells_are_given_back_to_their_own_drums_and_others_are_not() -> None:
    """Most patterns' cells find their drums; a right hand that is the same for all finds hardly one."""
    names = ("straight eighths", "breakbeat", "half time shuffle", "tresillo", "half time", "one drop")
    own = []
    for name in names:
        pattern = handgroove.read_pattern(name)
        own.append(Heard(name, Desk(pattern.groove(8), CHART, with_style(pattern, "cell"))))
    assert comping.given_back(own).found >= 4
    same = tuple(own[0].part.hand(Hand.RIGHT))
    told: list[Heard] = [_Told(take.name, take.desk, replace(take.part, notes=same)) for take in own]
    assert comping.given_back(told[::-1]).found <= 2


def test_assigning_finds_the_least_sum() -> None:
    """On small squares it is as good as the best of all orders."""
    dice = Random(5)
    for count in (1, 2, 4, 5):
        cost = [[dice.random() for _ in range(count)] for _ in range(count)]
        given = comping.assign(cost)
        assert sorted(given) == list(range(count))
        best = min(sum(cost[i][j] for i, j in enumerate(order)) for order in permutations(range(count)))
        assert abs(sum(cost[i][j] for i, j in enumerate(given)) - best) < 1e-9
