"""Settling: what two hands can play."""

from __future__ import annotations

from dataclasses import replace

import pytest

from handgroove.hands.playability import Severity, check_notes
from handgroove.hands.player import HandSize, Player
from handgroove.hands.settle import Settled, settle
from handgroove.part import Change, Note, Omission
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Metre, Timeline
from tests.hands.passages import ask_again

LINE = Timeline.of(Metre(4, 4), 112, 4)
EIGHTH = 480


def kick(tick: int, pitch: int = 33, hit: int = 0, weight: float = 1.0) -> Asked:
    """Ask for a kick: little finger, held until the hand's next stroke."""
    strike = Strike((pitch,), 90, Hand.LEFT, Role.KICK, 1920, until_next=True, fingers=(5,), weight=weight)
    return Asked(tick, strike, (hit,))


def snare(tick: int, pitch: int = 45, hit: int = 0, weight: float = 1.0) -> Asked:
    """Ask for a snare: thumb, short."""
    strike = Strike((pitch,), 100, Hand.LEFT, Role.SNARE, 400, fingers=(1,), weight=weight)
    return Asked(tick, strike, (hit,))


def chord(tick: int, *pitches: int, hit: int = 0, hold: int = 400, role: Role = Role.COMPING) -> Asked:
    """Ask for a right-hand chord."""
    return Asked(tick, Strike(pitches, 70, Hand.RIGHT, role, hold), (hit,))


def groove_a() -> list[Asked]:
    """Return the left hand of straight eighths over Am7, leaning into Fmaj7 with the last kick."""
    return [kick(0), snare(960), kick(1440), kick(1920), snare(2880), kick(3360, 29)]


def settled_at(bpm: float, *asked: Asked, player: Player | None = None) -> Settled:
    """Settle *asked* at a tempo."""
    return settle(asked, player or Player(), Timeline.of(Metre(4, 4), bpm, 4))


def changes(settled: Settled) -> list[Change]:
    """Return what was changed, in order."""
    return [line.change for line in settled.omissions]


def test_octave_groove_is_left_alone() -> None:
    """Kicks on the little finger and snares on the thumb an octave above are played as asked."""
    settled = settle(groove_a(), Player(), LINE)
    assert settled.omissions == ()
    assert [(n.tick, n.pitch, n.finger, n.end_tick) for n in settled.notes] == [
        (0, 33, 5, 960),
        (960, 45, 1, 1360),
        (1440, 33, 5, 1920),
        (1920, 33, 5, 2880),
        (2880, 45, 1, 3280),
        (3360, 29, 5, 5280),
    ]


def test_its_own_output_stays() -> None:
    """Settling the settled octave groove changes nothing."""
    notes = settle(groove_a(), Player(), LINE).notes
    assert settle(ask_again(notes), Player(), LINE) == Settled(notes)


def test_nothing_asked() -> None:
    """Nothing asked is nothing played, and no line."""
    assert settle([], Player(), LINE) == Settled(())


def test_two_hits_on_one_key_are_one_note() -> None:
    """A kick and a snare that want the same key a few ticks apart are one note that stands for both."""
    settled = settled_at(112, kick(0, 33, hit=0), snare(8, 33, hit=1))
    assert [(note.pitch, note.hits) for note in settled.notes] == [(33, (0, 1))]
    assert settled.omissions == ()


def test_fast_kicks_change_fingers() -> None:
    """At six or seven kicks a second the little finger gets help from the fourth, and the line says why."""
    settled = settled_at(120, kick(0), kick(288))  # 150 ms
    assert len(settled.notes) == 2
    assert {note.finger for note in settled.notes} == {4, 5}
    line = next(line for line in settled.omissions if line.change is Change.REFINGERED)
    assert "kick in a row at seven a second: one little finger can't; moved to the" in line.reason
    assert line.subject == "kick"


def test_ghosts_go_before_kicks() -> None:
    """On one key too quick for a hand, the ghost gives way to the main stroke."""
    settled = settled_at(112, kick(0, hit=0), snare(150, 33, hit=1, weight=0.3), kick(960, hit=2))
    assert [note.hits for note in settled.notes] == [(0,), (2,)]
    assert [(line.change, line.subject) for line in settled.omissions] == [(Change.LEFT_OUT, "snare ghost")]


def with_second(asked: Asked, second: int) -> Asked:
    """Return *asked* with a second key."""
    return replace(asked, strike=replace(asked.strike, second=second))


def test_quick_second_kick_takes_the_fifth() -> None:
    """A kick 80 ms after another can't be struck on the same key; the second finger takes the fifth, more softly."""
    settled = settled_at(125, *(with_second(kick(tick, hit=tick), 40) for tick in (0, 160)))
    assert [(note.pitch, note.finger) for note in settled.notes] == [(33, 5), (40, 2)]
    assert settled.notes[1].velocity < settled.notes[0].velocity
    assert settled.notes[0].end_tick == settled.notes[1].tick  # the root is let go first
    assert changes(settled) == [Change.MOVED]
    assert "the second finger takes the fifth above" in settled.omissions[0].reason


def test_quick_second_snare_takes_the_step_below() -> None:
    """A snare 80 ms after another is the second finger's on the key beside it, never an octave down, the kick's."""
    settled = settled_at(125, *(with_second(snare(tick, hit=tick), 43) for tick in (0, 160)))
    assert [(note.pitch, note.finger) for note in settled.notes] == [(45, 1), (43, 2)]


def test_the_louder_of_two_quick_strokes_keeps_its_key() -> None:
    """A soft kick just before a loud one is the one that takes the fifth."""
    soft = replace(kick(0).strike, velocity=50, second=40)
    settled = settled_at(125, Asked(0, soft, (0,)), with_second(kick(160, hit=1), 40))
    assert [note.pitch for note in settled.notes] == [40, 33]


def test_quick_stroke_without_a_second_key_is_dropped_with_a_line() -> None:
    """Where no second key is known one of the two goes, and the line says how fast they came."""
    settled = settled_at(125, kick(0, hit=0), kick(160, hit=1))
    assert len(settled.notes) == 1
    assert [(line.change, line.reason) for line in settled.omissions] == [
        (Change.LEFT_OUT, "kicks at twelve a second: one hand can't strike a key that often")
    ]


def test_kicks_tire_no_key() -> None:
    """No key twice running over seven a second, nor three times over six: eight kicks a second alternate."""
    eight = [with_second(kick(240 * at, hit=at), 40) for at in range(6)]  # 125 ms at 120
    settled = settled_at(120, *eight)
    assert [note.pitch for note in settled.notes] == [33, 40, 33, 40, 33, 40]
    six = [with_second(kick(306 * at, hit=at), 40) for at in range(4)]  # 159 ms
    pitches = [note.pitch for note in settled_at(120, *six).notes]
    assert len(pitches) == 4
    assert all(pitches[at : at + 3] != [33] * 3 for at in range(2))


def test_a_ghost_leaves_the_thumb_to_the_main_stroke() -> None:
    """A ghost 150 ms before a main stroke goes to the key beside it, so that the thumb is free."""
    ghost = with_second(snare(0, hit=0, weight=0.3), 43)
    settled = settled_at(125, ghost, with_second(snare(300, hit=1), 43), kick(300, hit=2))
    assert {(note.pitch, note.finger) for note in settled.notes if note.tick} == {(33, 5), (45, 1)}
    assert settled.notes[0].pitch == 43


def test_full_hands_drop_what_matters_least() -> None:
    """With more asked than five fingers hold, colour goes and the kick stays."""
    low = [kick(0, 36)]
    colour = [
        Asked(0, Strike((pitch,), 60, Hand.LEFT, Role.COLOUR, 400), (pitch,))
        for pitch in (39, 42, 44, 46, 48)
    ]
    settled = settled_at(112, *low, *colour)
    assert Role.KICK in {note.role for note in settled.notes}
    assert all(sum(note.hand is hand for note in settled.notes) <= 5 for hand in Hand)
    lost = [line for line in settled.omissions if line.change in (Change.LEFT_OUT, Change.HANDED_OVER)]
    assert {line.subject for line in lost} == {"colour note"}


def test_wide_chord_is_thinned_with_its_reach_told() -> None:
    """A chord over the reach loses what's missed least, and the line names both distances."""
    settled = settled_at(112, chord(0, 60, 64, 67, 79))
    assert len(settled.notes) < 4 or changes(settled)
    assert any(
        "nineteen semitones is over your reach of a ninth" in line.reason for line in settled.omissions
    )


def test_larger_hand_keeps_more() -> None:
    """A tenth that a small hand must break or thin is struck whole by a hand that reaches it."""
    tenth = chord(0, 60, 67, 76)
    large = Player(right=HandSize(17, 15))
    assert settled_at(112, tenth, player=large).omissions == ()
    assert settled_at(112, tenth, player=Player(right=HandSize(12, 10))).omissions != ()


def test_hair_over_the_reach_is_rolled() -> None:
    """A long tenth of two melody notes, a hair over the reach, is rolled from below if the left hand is busy."""
    settled = settled_at(100, kick(960), chord(960, 60, 76, hold=1900, role=Role.MELODY))
    assert changes(settled) == [Change.ROLLED]
    _, low, high = settled.notes
    assert (low.pitch, high.pitch) == (60, 76)
    assert 0 < high.tick - low.tick < 240
    assert low.end_tick == high.tick


def test_one_hand_helps_the_other() -> None:
    """What the right hand can't hold the left hand plays, if it's free."""
    settled = settled_at(112, chord(0, 55, 64, 67, 72, role=Role.MELODY))
    assert [(note.pitch, note.hand) for note in settled.notes if note.hand is Hand.LEFT] == [(55, Hand.LEFT)]
    assert changes(settled) == [Change.HANDED_OVER]


def test_hands_never_share_a_key() -> None:
    """Both hands on one key at once is one note, and the line says which hand."""
    both = [Asked(0, Strike((60,), 80, hand, Role.COMPING, 400), (index,)) for index, hand in enumerate(Hand)]
    settled = settled_at(112, *both)
    assert [note.pitch for note in settled.notes] == [60]
    assert settled.notes[0].hits == (0, 1)
    assert "both hands want this key" in settled.omissions[0].reason


def test_hands_cross_only_where_they_may() -> None:
    """A left thumb above the right hand's lowest note moves, unless the player crosses hands."""
    asked = [chord(0, 60, 64, 67), snare(0, 62, hit=1)]
    assert changes(settled_at(112, *asked)) == [Change.MOVED]
    assert settled_at(112, *asked, player=Player(may_cross=True)).omissions == ()


def test_held_note_is_let_go_for_a_stroke_out_of_reach() -> None:
    """A hand that holds low C and must strike high lets go, and a line says so."""
    long = Asked(0, Strike((36,), 80, Hand.LEFT, Role.BASS, 3840), (0,))
    settled = settled_at(112, long, snare(1920, 57, hit=1))
    assert [(note.pitch, note.end_tick) for note in settled.notes] == [(36, 1920), (57, 2320)]
    assert changes(settled) == [Change.SHORTENED]


def test_offbeat_position_is_told_in_a_line() -> None:
    """A line's tick is the stroke's, so that a report can say bar, beat and part of the beat."""
    (line,) = settled_at(160, kick(3360, hit=0), kick(3600, hit=1)).omissions
    assert Timeline.of(Metre(4, 4), 160, 4).format_position(line.tick) == "bar 1, beat 4a"


def test_leave_out_is_honoured() -> None:
    """A hit that the user leaves out isn't played, and a line says that it was wished."""
    settled = settle([kick(0, hit=7), snare(960, hit=8)], Player(), LINE, leave_out=[7])
    assert [note.hits for note in settled.notes] == [(8,)]
    assert settled.omissions == (Omission(0, Change.LEFT_OUT, "kick", "as you asked", Hand.LEFT, (7,)),)


def test_keep_is_honoured() -> None:
    """A ghost that the user keeps outweighs the kick beside it."""
    asked = [kick(0, hit=0), snare(150, 33, hit=1, weight=0.3)]
    assert [note.hits for note in settle(asked, Player(), LINE, keep=[1]).notes if 1 in note.hits] == [(1,)]


def test_keep_that_no_hand_can_play_is_refused() -> None:
    """Six chords at once can't all be kept: what's refused has a line with the reason."""
    asked = [chord(0, *range(60 + 2 * i, 62 + 2 * i), hit=i) for i in range(6)]
    settled = settle(asked, Player(), LINE, keep=list(range(6)))
    refused = [line for line in settled.omissions if line.change is Change.REFUSED]
    played = {hit for note in settled.notes for hit in note.hits}
    assert {hit for line in refused for hit in line.hits} == set(range(6)) - played
    assert all(line.reason.startswith("you asked to keep it, but ") for line in refused)
    assert refused


def test_keep_and_leave_out_of_one_hit() -> None:
    """Asked for both, the hit is kept and the contradiction told."""
    settled = settle([kick(0, hit=3)], Player(), LINE, keep=[3], leave_out=[3])
    assert len(settled.notes) == 1
    assert changes(settled) == [Change.REFUSED]


def test_order_of_importance_is_the_players() -> None:
    """Who puts the snare first loses the kick where only one of them can be played."""
    asked = [kick(0, 33, hit=0), snare(0, 57, hit=1)]
    roles = (Role.SNARE, Role.KICK)
    first = settled_at(112, *asked, player=Player(order=roles, left=HandSize(12, 10)))
    kept = {note.role for note in first.notes if note.hand is Hand.LEFT}
    assert Role.SNARE in kept


@pytest.mark.parametrize("pitch", [12, 120])
def test_notes_off_the_keyboard_come_back(pitch: int) -> None:
    """A pitch that a piano lacks is moved by octaves onto it, with a line."""
    settled = settled_at(112, Asked(0, Strike((pitch,), 80, Hand.RIGHT, Role.COMPING, 400), (0,)))
    assert 21 <= settled.notes[0].pitch <= 108
    assert settled.notes[0].pitch % 12 == pitch % 12
    assert changes(settled) == [Change.MOVED]


def test_user_fixed_fingers_stay() -> None:
    """Fingers that are fixed by whoever asks are kept where they can play."""
    line = [replace(chord(i * 480, pitch), tick=i * 480) for i, pitch in enumerate((60, 62, 64))]
    fixed = [replace(a, strike=replace(a.strike, fingers=(2 + i,))) for i, a in enumerate(line)]
    notes: tuple[Note, ...] = settled_at(112, *fixed).notes
    assert [note.finger for note in notes] == [2, 3, 4]


def test_no_octave_is_taken_into_mud() -> None:
    """A C out of reach over the kick's A1 is not brought down to a third on it: it goes, and the kick stays."""
    tom = Asked(0, Strike((48,), 80, Hand.LEFT, Role.COLOUR, 400), (1,))
    settled = settled_at(112, kick(0), tom)
    assert [note.pitch for note in settled.notes if note.hand is Hand.LEFT] == [33]
    assert Change.MOVED not in changes(settled)


@pytest.mark.parametrize("after_ticks", range(270, 330, 5))
def test_a_chord_rolled_late_leaves_the_other_hand_its_key(after_ticks: int) -> None:
    """Its top, struck a hair late, never comes sooner before the right hand's stroke than one key can."""
    line = Timeline.of(Metre(4, 4), 120, 4)
    wide = [Asked(0, Strike((43, 60), 80, Hand.LEFT, Role.BASS, 480), (0,)), chord(after_ticks, 60, hit=1)]
    settled = settle(wide, Player(), line)
    troubles = check_notes(settled.notes, Player(), line)
    assert [one.text for one in troubles if one.severity is Severity.CANT] == []
