"""The main job against the ear's golden cases, and its laws."""

from __future__ import annotations

from dataclasses import replace

import handgroove
from handgroove.groove.hits import Groove
from handgroove.groove.kit import Piece
from handgroove.output.passages import find_passages
from handgroove.part import Change, Note, Part
from handgroove.patterns import Pattern
from handgroove.strike import Hand
from tests.styles import every_hat

AM_F = "| Am7 | Fmaj7 |"


def part_of(groove: Groove, chart: str = AM_F, pattern: Pattern | None = None) -> Part:
    """Return the part for *groove* over *chart*, with the plain pattern where none is given."""
    part = handgroove.translate(groove, handgroove.parse_chart(chart), pattern)
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
    """Style every hat: whole chord, thumb, upper pair, thumb; to Fmaj7 one voice moves by two semitones."""
    part = part_of(handgroove.read_pattern("straight eighths").groove(2), pattern=every_hat())
    right = bar_of(part, 1, Hand.RIGHT)
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
    first = {note.pitch for note in bar_of(part, 2, Hand.RIGHT) if beat(note) == "1"}
    assert first == {60, 64, 69}


def right_of(part: Part, number: int) -> dict[str, list[int]]:
    """Return what the right hand strikes in bar *number*, by beat, low to high."""
    found: dict[str, list[int]] = {}
    for note in bar_of(part, number, Hand.RIGHT):
        found.setdefault(part.timeline.format_position(note.meant).partition("beat ")[2], []).append(
            note.pitch
        )
    return {at: sorted(pitches) for at, pitches in found.items()}


def test_the_rock_cell_is_exact() -> None:
    """Chord on 1, on the push and on the backbeat of 4, the thumb before each; the other hats are left to ring."""
    part = part_of(handgroove.read_pattern("straight eighths").groove(8), "| Am7 | Fmaj7 | C | G |")
    for number, chord in ((1, [60, 64, 67]), (2, [60, 64, 69]), (3, [60, 64, 67])):
        thumb = chord[:1]
        bar = right_of(part, number)
        assert {at: bar[at] for at in ("1", "2", "2&", "3&", "4")} == {
            "1": chord,
            "2": thumb,
            "2&": chord,
            "3&": thumb,
            "4": chord,
        }
        assert bar.keys() == {"1", "2", "2&", "3&", "4", "4&"}
        assert len(bar["4&"]) == 1


def test_the_rock_cell_s_last_bar_rises_into_what_follows() -> None:
    """Its end: B3 D4 G4 on 2&, A4 on 3&, D4 G4 B4 on 4, and E4 G4 C5 on the next section's one."""
    chart = "[Verse]\n| Am7 | Fmaj7 | C | G |\n[Chorus]\n| Am7 | Fmaj7 | C | G |"
    part = part_of(handgroove.read_pattern("straight eighths").groove(8), chart)
    last = right_of(part, 4)
    assert (last["2&"], last["3&"], last["4"]) == ([59, 62, 67], [69], [62, 67, 71])
    assert "4&" not in last
    assert right_of(part, 5)["1"] == [64, 67, 72]


def test_the_bossa_right_hand_is_exact() -> None:
    """Short shells on the side stick: F3 C4 E4 on 1, 2& and 4, F3 B3 E4 on 2 and 3&; nothing else."""
    pattern = handgroove.read_pattern("bossa nova")
    part = part_of(pattern.groove(2), "| Dm9 | G13 |", pattern)
    assert right_of(part, 1) == {at: [53, 60, 64] for at in ("1", "2&", "4")}
    assert right_of(part, 2) == {at: [53, 59, 64] for at in ("2", "3&")}
    assert all(note.length_ticks <= 480 for note in part.hand(Hand.RIGHT))


def test_swing_comps_on_the_foot_s_two_and_four_and_not_with_each_ride_stroke() -> None:
    """Shells with one colour above, on 2 and 4; in no bar on half the ride's strokes."""
    pattern = handgroove.read_pattern("swing ride")
    part = part_of(pattern.groove(4), "| Dm7 | G7 | Cmaj7 | A7b13 |", pattern)
    shells = ([53, 60, 64], [53, 59, 64], [52, 59, 62])
    for number, shell in enumerate(shells, 1):
        bar = right_of(part, number)
        assert {at for at, pitches in bar.items() if len(pitches) > 1} == {"2", "4"}
        assert bar["2"] == bar["4"] == shell
        assert len(bar) <= 4


def test_a_pushed_chord_is_struck_early_and_held_over_the_one() -> None:
    """A chord that the chart pushes comes whole on 4&; the one is not struck again."""
    part = part_of(handgroove.read_pattern("straight eighths").groove(2), "| C | >G |")
    assert right_of(part, 1)["4&"] == [59, 62, 67]
    assert "1" not in right_of(part, 2)
    held = [note for note in bar_of(part, 1, Hand.RIGHT) if note.meant == 3360]
    assert all(note.end_tick > part.timeline.bar_start(2) for note in held)


def test_what_is_left_to_the_cell_is_one_line() -> None:
    """Hats that the cell leaves out are counted as left out, in one passage."""
    part = part_of(handgroove.read_pattern("straight eighths").groove(8), "| Am7 | Fmaj7 |")
    (passage,) = [one for one in find_passages(part) if "left to the cell" in one.reason]
    assert passage.change is Change.LEFT_OUT
    assert passage.count >= 16


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
