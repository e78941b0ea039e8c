from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.desk.pedal import plan_pedal
from handgroove.harmony.chart import Cue, Harmony
from handgroove.harmony.voice.voicing_settings import PedalMode
from handgroove.part import Note, PedalMove
from handgroove.strike import Hand, Role
from handgroove.timeline import Metre, Timeline
from tests.harmony.made_charts import laid

FOUR = Metre(4, 4)


def note(tick: int, length: int, pitch: int, hand: Hand = Hand.RIGHT) -> Note:
    """Return a note of the part."""
    return Note(tick, length, pitch, 80, hand, Role.COMPING)


def held(harmony: Harmony) -> list[Note]:
    """Return each span's root and third held through it, dry."""
    notes = []
    for span in harmony.spans:
        if span.chord:
            length = span.end_tick - span.start_tick
            notes += [note(span.start_tick, length, 60 + pc) for pc in span.chord.tone_pcs]
            notes.append(note(span.start_tick, length, 36 + span.chord.bass.pc, Hand.LEFT))
    return notes


def downs(moves: tuple[PedalMove, ...]) -> list[tuple[int, int]]:
    """Return the stretches for which the pedal is down."""
    assert len(moves) % 2 == 0
    pairs = list(zip(moves[::2], moves[1::2], strict=True))
    assert all(a.down and not b.down and a.tick < b.tick for a, b in pairs)
    return [(a.tick, b.tick) for a, b in pairs]


def test_held_chords_get_the_full_pedal() -> None:
    """Under held chords the pedal is down from just after each chord to the next."""
    harmony = laid("| C | F |")
    moves = plan_pedal(held(harmony), harmony, Timeline.of(FOUR, 100, 2))
    assert downs(moves) == [(60, 3840), (3900, 7680)]


def test_busy_strokes_stay_dry() -> None:
    """Under sixteenths the pedal stays up; with eighths and a left hand in octaves the octaves are caught."""
    harmony = laid("| C |")
    timeline = Timeline.of(FOUR, 120, 1)
    sixteenths = [note(240 * i, 200, 60 + 4 * (i % 2)) for i in range(16)]
    assert plan_pedal(sixteenths, harmony, timeline) == ()
    eighths = [note(480 * i, 200, 64) for i in range(8)]
    octaves = [note(960 * i, 700, 36 + 12 * (i % 2), Hand.LEFT) for i in range(4)]
    assert downs(plan_pedal(eighths + octaves, harmony, timeline)) == [(60, 1920), (1980, 3580)]


def test_passing_notes_stay_dry() -> None:
    """A tune's passing note is not caught, even where strokes are few."""
    harmony = laid("| C |")
    timeline = Timeline.of(FOUR, 120, 1)
    octaves = [note(960 * i, 900, 36 + 12 * (i % 2), Hand.LEFT) for i in range(4)]
    assert downs(plan_pedal([*octaves, note(0, 3800, 64)], harmony, timeline)) == [(60, 3800)]
    assert downs(plan_pedal([*octaves, note(0, 900, 64), note(960, 900, 62)], harmony, timeline)) == [
        (1980, 3780)
    ]


def test_modes() -> None:
    """Half-bar changes in the middle too, harmony only with the chord whatever the groove, off never."""
    harmony = laid("| C | F |")
    timeline = Timeline.of(FOUR, 120, 2)
    busy = [note(240 * i, 240, 60 if i < 16 else 65) for i in range(32)]
    assert downs(plan_pedal(busy, harmony, timeline, PedalMode.HALF_BAR)) == [
        (60, 1920),
        (1980, 3840),
        (3900, 5760),
        (5820, 7680),
    ]
    assert downs(plan_pedal(busy, harmony, timeline, PedalMode.HARMONY)) == [(60, 3840), (3900, 7680)]
    assert plan_pedal(busy, harmony, timeline, PedalMode.OFF) == ()
    assert plan_pedal([], harmony, timeline) == ()


def test_silence_is_silent() -> None:
    """In stops, over N.C. and under drums alone the pedal is up."""
    harmony = laid("| C | F! | N.C. | drums G |")
    moves = plan_pedal(held(harmony), harmony, Timeline.of(FOUR, 100, 4), PedalMode.HARMONY)
    assert downs(moves) == [(60, 3840)]


def test_a_key_held_into_the_next_chord_is_not_caught() -> None:
    """The pedal waits until a foreign note that a finger still holds has ended."""
    harmony = laid("| C | Db |")
    notes = [note(0, 3840 + 500, 60 + 4), note(3840, 3840, 61)]
    assert downs(plan_pedal(notes, harmony, Timeline.of(FOUR, 100, 2))) == [(60, 3840), (4340, 7680)]


def sounding_into(notes: list[Note], moves: tuple[PedalMove, ...], tick: int) -> set[int]:
    """Return the pitches that the pedal alone keeps sounding at *tick*."""
    kept = set()
    for down, up in downs(moves):
        if down < tick < up:
            kept = {n.pitch for n in notes if n.tick < tick and (n.end_tick > down or n.tick >= down)}
    return kept


PIECES = st.lists(
    st.tuples(
        st.integers(0, 15300),
        st.integers(30, 4000),
        st.integers(0, 5),
        st.sampled_from([36, 48, 60, 72]),
    ),
    min_size=1,
    max_size=40,
)


@given(
    PIECES,
    st.sampled_from(list(PedalMode)),
    st.sampled_from(["| C | >F | Bb Gm | Db! |", "| C F | N.C. | E7 | >>Am |"]),
)
@settings(max_examples=120, deadline=None)
def test_the_pedal_never_blurs_two_chords(
    raw: list[tuple[int, int, int, int]], mode: PedalMode, text: str
) -> None:
    """Wherever the pedal is down, all that it keeps sounding was struck in one chord or belongs to it.

    Notes are drawn from the chord that sounds when they are struck (as the hands play them), of any length.
    """
    harmony = laid(text)
    timeline = Timeline.of(FOUR, 110, 4)
    notes = []
    for tick, length, step, base in raw:
        chord = harmony.at(tick).chord
        if chord is not None:
            pitch = base + (chord.root.pc + chord.tones[step % len(chord.tones)]) % 12
            notes.append(note(tick, length, pitch, Hand.LEFT if base < 60 else Hand.RIGHT))
    moves = plan_pedal(notes, harmony, timeline, mode)
    last_tick = max([n.end_tick for n in notes], default=0)
    for down, up in downs(moves):
        span = harmony.at(down)
        assert span.chord is not None
        assert span.cue is Cue.NONE
        assert span.start_tick <= down < up <= min(span.end_tick, last_tick)
        caught = [n for n in notes if n.tick < up and n.end_tick > down]
        assert all(n.pitch % 12 in span.chord.pcs for n in caught if n.tick < span.start_tick)
    assert all(a.tick < b.tick for a, b in pairwise(moves))
    for span in harmony.spans:
        assert not sounding_into(notes, moves, span.start_tick)


def test_an_early_stroke_lifts_the_pedal() -> None:
    """A stroke of the next chord a hair before the change lifts the pedal there."""
    harmony = laid("| C | Db |")
    early = 3840 - 40
    notes = [note(0, 3000, 60), replace(note(early, 3000, 61), place=3840)]
    assert downs(plan_pedal(notes, harmony, Timeline.of(FOUR, 100, 2)))[0] == (60, early)


@pytest.mark.parametrize("mode", list(PedalMode))
def test_the_pedal_is_up_at_the_end(mode: PedalMode) -> None:
    """The last move is up, no later than the last note's end."""
    harmony = laid("| C | F | G | C |")
    notes = held(harmony)
    moves = plan_pedal(notes, harmony, Timeline.of(FOUR, 100, 4), mode)
    if mode is PedalMode.OFF:
        assert moves == ()
    else:
        assert moves[-1].down is False
        assert moves[-1].tick <= max(n.end_tick for n in notes)
