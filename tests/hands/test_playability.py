"""The checker: what can't be played and what strains, whoever wrote it."""

from __future__ import annotations

from handgroove.hands.playability import Severity, Trouble, check_notes
from handgroove.hands.player import HandSize, Player
from handgroove.part import Note
from handgroove.strike import Hand, Role
from handgroove.timeline import Metre, Timeline

LINE = Timeline.of(Metre(4, 4), 120, 8)  # a quarter is half a second


def note(tick: int, pitch: int, length: int = 240, hand: Hand = Hand.RIGHT, finger: int = 0) -> Note:
    """Return a note."""
    return Note(tick, length, pitch, 80, hand, Role.COMPING, finger)


def found(*notes: Note, player: Player | None = None) -> list[Trouble]:
    """Return what the checker finds."""
    return list(check_notes(notes, player or Player(), LINE))


def cant(*notes: Note, player: Player | None = None) -> list[str]:
    """Return what can't be played, in words."""
    return [t.text for t in found(*notes, player=player) if t.severity is Severity.CANT]


def test_a_plain_passage_has_no_trouble() -> None:
    """Five fingers up and down, legato, are no trouble."""
    assert (
        found(*(note(i * 240, pitch) for i, pitch in enumerate((60, 62, 64, 65, 67, 65, 64, 62, 60)))) == []
    )


def test_nothing_to_check() -> None:
    """No notes, no trouble."""
    assert found() == []


def test_over_the_reach() -> None:
    """A tenth is told to a hand that reaches a ninth, and not to one that reaches a tenth."""
    tenth = (note(0, 60), note(0, 76))
    assert "sixteen semitones, over the reach of a ninth" in cant(*tenth)
    assert cant(*tenth, player=Player(right=HandSize(16, 14))) == []


def test_over_comfort() -> None:
    """A ninth strains a hand that's at ease with an octave."""
    (trouble,) = found(note(0, 60), note(0, 74))
    assert trouble.severity is Severity.STRAIN
    assert trouble.text == "fourteen semitones, over the comfortable an octave"


def test_six_notes() -> None:
    """Six notes in one hand are one too many."""
    assert "six notes for five fingers" in cant(*(note(0, 60 + 2 * i) for i in range(6)))


def test_a_held_note_out_of_reach() -> None:
    """A low note held under a high one counts as a span; one that ends by a hair late does not."""
    assert cant(note(0, 48, 1920), note(960, 72)) != []
    assert cant(note(0, 48, 980), note(960, 72)) == []  # 20 ticks are 10 ms


def test_too_quick_on_one_key() -> None:
    """Twelve strokes a second on one key is more than a hand can."""
    assert cant(*(note(i * 160, 60, 60) for i in range(6))) != []


def test_fingers_that_are_given_are_taken_at_their_word() -> None:
    """Eight a second is fine with changing fingers and not with one."""
    assert cant(*(note(i * 240, 60, 100, finger=2 + i % 2) for i in range(6))) == []
    assert "the second finger can't repeat that soon" in cant(
        *(note(i * 240, 60, 100, finger=2) for i in range(6))
    )


def test_crossing_and_sharing() -> None:
    """Crossed hands are told unless the player crosses; one key for both always is."""
    crossed = (note(0, 64, hand=Hand.LEFT), note(0, 60))
    assert cant(*crossed) == ["the hands cross"]
    assert cant(*crossed, player=Player(may_cross=True)) == []
    assert "both hands on one key" in cant(
        note(0, 60, hand=Hand.LEFT), note(0, 60), player=Player(may_cross=True)
    )


def test_a_jump() -> None:
    """Three octaves in a sixteenth is too far; in a half note it is not."""
    assert cant(note(0, 40, 100), note(240, 76)) != []
    assert cant(note(0, 40, 100), note(1920, 76)) == []


def test_octaves_in_a_row_strain() -> None:
    """Octaves at six a second for five strokes strain."""
    octaves = [note(i * 330, pitch, 200) for i in range(6) for pitch in (60, 72)]
    assert any("octaves faster than 5 a second" in t.text for t in found(*octaves))


def test_troubles_come_in_order_and_once() -> None:
    """Troubles are sorted by time and each is told once."""
    notes = [note(i * 960, pitch) for i in range(3) for pitch in (60, 80)]
    troubles = found(*notes)
    assert [t.tick for t in troubles] == sorted(t.tick for t in troubles)
    assert len(troubles) == len(set(troubles))
