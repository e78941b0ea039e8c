"""The main job against the ear's golden cases, and its laws."""

from __future__ import annotations

from dataclasses import replace

import handgroove
from handgroove.groove.hits import Groove
from handgroove.groove.kit import Piece
from handgroove.part import Note, Part
from handgroove.strike import Hand

AM_F = "| Am7 | Fmaj7 |"


def part_of(groove: Groove, chart: str = AM_F) -> Part:
    """Return the part for *groove* over *chart* with the plain pattern."""
    part = handgroove.translate(groove, handgroove.parse_chart(chart))
    assert isinstance(part, Part)
    return part


def golden() -> Part:
    """Return straight eighths at 112, a bar of Am7 and a bar of Fmaj7."""
    return part_of(handgroove.read_pattern("straight eighths").groove(2))


def beat(note: Note) -> str:
    """Return the beat of a note in its bar, as a player counts it."""
    return golden().timeline.format_position(note.tick).partition("beat ")[2]


def bar_of(part: Part, number: int, hand: Hand) -> list[Note]:
    """Return the notes of one bar and hand."""
    return [note for note in part.hand(hand) if part.timeline.bar_at(note.tick).number == number]


def test_the_left_hand_of_straight_eighths_is_exact() -> None:
    """Kick: little finger on A1. Snare: thumb on A2. The last kick leans on the bar line and takes F1."""
    left = bar_of(golden(), 1, Hand.LEFT)
    assert [(beat(note), note.pitch, note.finger) for note in left] == [
        ("1", 33, 5),
        ("2", 45, 1),
        ("2&", 33, 5),
        ("3", 33, 5),
        ("4", 45, 1),
        ("4&", 29, 5),
    ]


def test_the_thumb_has_let_go_before_the_hand_moves_down() -> None:
    """A2 has ended when F1 begins, so the hand never spans sixteen semitones."""
    left = bar_of(golden(), 1, Hand.LEFT)
    assert left[4].end_tick <= left[5].tick


def test_little_finger_notes_hold_and_thumb_notes_crack() -> None:
    """A1 on 1 holds till the thumb on 2; the thumb's notes are an eighth or less."""
    left = bar_of(golden(), 1, Hand.LEFT)
    assert left[0].end_tick == left[1].tick
    assert all(note.length_ticks <= 480 for note in left if note.finger == 1)


def test_the_right_hand_rocks_on_rootless_am7_and_moves_one_voice() -> None:
    """Whole chord, thumb, upper pair, thumb; to Fmaj7 one voice moves by two semitones."""
    right = bar_of(golden(), 1, Hand.RIGHT)
    by_beat: dict[str, list[int]] = {}
    for note in right:
        by_beat.setdefault(beat(note), []).append(note.pitch)
    assert [by_beat[b] for b in ("1", "1&", "2", "2&", "3")] == [
        [60, 64, 67],
        [60],
        [64, 67],
        [60],
        [60, 64, 67],
    ]
    first = {note.pitch for note in bar_of(golden(), 2, Hand.RIGHT) if beat(note) == "1"}
    assert first == {60, 64, 69}


def test_the_left_hand_does_not_bury_the_right() -> None:
    """The left hand's loudest is at most about 0.85 of the right hand's chord accents."""
    part = golden()
    loudest = {hand: max(note.velocity for note in part.hand(hand)) for hand in Hand}
    assert loudest[Hand.LEFT] <= 0.87 * loudest[Hand.RIGHT]


def test_nothing_is_lost_in_silence() -> None:
    """Every hit sounds in a note or stands in an omission."""
    part = golden()
    told = {index for note in part.notes for index in note.hits}
    told |= {index for omission in part.omissions for index in omission.hits}
    assert told == set(range(len(part.groove.hits)))


def test_no_stroke_of_a_gesture_is_lost_in_silence() -> None:
    """With flams and drags before every snare, fills included, each hit has a note or a line."""
    groove = handgroove.read_pattern("straight eighths").groove(4, fills={4: "down the toms"})
    snares = [hit for hit in groove.hits if hit.piece is Piece.SNARE and hit.tick > 200]
    graces = [replace(hit, tick=hit.tick - before, velocity=40) for hit in snares for before in (50, 100)]
    hits = tuple(sorted((*groove.hits, *graces), key=lambda hit: hit.order))
    part = part_of(replace(groove, hits=hits))
    told = {hit for line in part.omissions for hit in line.hits}
    assert {hit for note in part.notes for hit in note.hits} | told == set(range(len(hits)))
    assert any(note.grace for note in part.notes)


def test_without_a_chart_one_chord_holds_and_the_part_says_so() -> None:
    """No chart: C, and a message."""
    part = handgroove.translate(handgroove.read_pattern("straight eighths").groove(2))
    assert {span.chord.symbol for span in part.harmony.spans if span.chord} == {"C"}
    assert any("No chart" in message for message in part.messages)


def test_a_chart_of_another_length_is_fitted_and_said() -> None:
    """A chart of three bars over two is cut, with a message."""
    part = part_of(handgroove.read_pattern("straight eighths").groove(2), "| Am7 | Fmaj7 | G7 |")
    assert any("3 bars" in message and "2" in message for message in part.messages)


def test_a_stop_is_both_hands_and_then_silence() -> None:
    """At ``C!`` both hands strike the chord and the low octave together; nothing sounds on, and the pedal is up."""
    pattern = handgroove.read_pattern("straight eighths")
    groove = pattern.groove(4)
    last = groove.timeline.bar_start(4)
    groove = replace(groove, hits=tuple(hit for hit in groove.hits if hit.tick <= last))
    part = part_of(groove, "| Am7 | Fmaj7 | G7 | C! |")
    struck = [note for note in part.notes if abs(note.tick - last) < 60]
    assert {note.pitch for note in struck if note.hand is Hand.LEFT} == {36, 48}
    assert len([note for note in struck if note.hand is Hand.RIGHT]) >= 3
    assert all(note.end_tick <= last + 480 for note in part.notes)
    assert not any(move.down and move.tick >= last for move in part.pedal)


def test_a_stop_is_silent_though_the_drums_go_on() -> None:
    """Hits between a stop and the next chord are left out, with the reason; then the groove goes on."""
    part = part_of(handgroove.read_pattern("straight eighths").groove(4), "| Am7 | C! | Fmaj7 | G7 |")
    stop, after = part.timeline.bar_start(2), part.timeline.bar_start(3)
    assert not [note for note in part.notes if stop + 60 < note.tick < after - 480]
    assert all(note.end_tick <= stop + 480 for note in part.notes if note.tick < after - 480)
    assert any(note.tick >= after for note in part.notes)
    silent = [item for item in part.omissions if "the chart stops here" in item.reason]
    assert len(silent) >= 8


def test_no_note_sounds_past_the_end() -> None:
    """The last low note ends with the last bar."""
    part = golden()
    assert max(note.end_tick for note in part.notes) <= part.timeline.end_tick


def test_five_lines_of_python_do_the_job(tmp_path: object) -> None:
    """The README's five lines work as they stand there."""
    import re
    from pathlib import Path

    readme = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")
    found = re.search(r"```python\n(import handgroove\n.*?)```", readme, re.DOTALL)
    assert found, "the README shows the job in Python"
    code = found.group(1)
    assert len([line for line in code.splitlines() if line.strip()]) == 5
    demo = Path(__file__).parents[1] / "demo"
    code = code.replace('"drums.mid"', repr(str(demo / "lantern-street-drums.mid")))
    code = code.replace('"song.txt"', repr(str(demo / "lantern-street.txt")))
    code = code.replace('"piano.mid"', repr(str(Path(str(tmp_path)) / "piano.mid")))
    exec(compile(code, "README.md", "exec"), {})
    assert (Path(str(tmp_path)) / "piano.mid").stat().st_size > 1000
