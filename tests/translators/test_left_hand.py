"""Kick, snare and cross-stick in the left hand."""

from __future__ import annotations

import pytest

from handgroove.groove.hits import Stroke
from handgroove.groove.kit import Piece
from handgroove.harmony.chord import parse_chord
from handgroove.harmony.voice.low_limits import is_muddy
from handgroove.strike import Hand, LeaveOut, Role
from handgroove.timeline import Metre
from handgroove.translators.click import Click, ClickSettings
from handgroove.translators.loudness import right_velocity
from handgroove.translators.low_note import LowNote, LowNoteSettings
from handgroove.translators.thumb_reply import ThumbReply, ThumbReplySettings
from tests.translators.moments import AM7, FMAJ7, hit, moment, one

KICK, SNARE = hit(Piece.KICK), hit(Piece.SNARE)


def test_the_kick_is_the_left_little_finger_and_holds() -> None:
    """The kick plays the low note with the little finger until the hand's next stroke (common practice, no source)."""
    strike = one(LowNote(LowNoteSettings()).strikes(KICK, moment()))
    assert (strike.pitches, strike.fingers, strike.hand, strike.until_next) == ((33,), (5,), Hand.LEFT, True)


def test_the_snare_is_the_left_thumb_an_octave_up_and_short() -> None:
    """The snare plays the thumb an octave above, an eighth or less (common practice, no source)."""
    strike = one(ThumbReply(ThumbReplySettings()).strikes(SNARE, moment()))
    assert (strike.pitches, strike.fingers, strike.hand) == ((45,), (1,), Hand.LEFT)
    assert strike.hold_ticks <= 480
    assert not strike.until_next


def test_the_last_kick_before_a_change_is_pushed() -> None:
    """A kick on the last eighth takes the next chord's low note; a quarter before, or unpushed, it does not."""
    last, earlier = moment(ticks_to_change=480), moment(ticks_to_change=960)
    assert one(LowNote(LowNoteSettings()).strikes(KICK, last)).pitches == (29,)
    assert one(LowNote(LowNoteSettings()).strikes(KICK, earlier)).pitches == (33,)
    assert one(LowNote(LowNoteSettings(push=False)).strikes(KICK, last)).pitches == (33,)


def test_a_kick_can_step_into_the_next_chord() -> None:
    """With an approach, the kick in the beat before a change leads into its low note by step; earlier it does not."""
    low_note = LowNote(LowNoteSettings(approach=True))
    last_beat, earlier = moment(ticks_to_change=960), moment(ticks_to_change=1920)
    assert one(low_note.strikes(KICK, last_beat)).pitches == (30,)
    assert one(low_note.strikes(KICK, earlier)).pitches == (33,)
    assert one(low_note.strikes(KICK, moment(ticks_to_change=480))).pitches == (29,)


def test_a_high_bass_note_comes_down_to_the_hand() -> None:
    """A bass line's note above the low octave is played an octave or two lower, near the hand."""
    assert one(LowNote(LowNoteSettings()).strikes(KICK, moment(bass=52))).pitches == (28,)


def test_the_kick_takes_a_bass_lines_pitch() -> None:
    """Where a bass line sounds, the kick plays its pitch; unless it is told not to."""
    sounding = moment(bass=40)
    assert one(LowNote(LowNoteSettings()).strikes(KICK, sounding)).pitches == (40,)
    assert one(LowNote(LowNoteSettings(follow_bass=False)).strikes(KICK, sounding)).pitches == (33,)


@pytest.mark.parametrize(
    ("offset", "since", "pitch"),
    [
        (0, 0, 33),  # 1: the root
        (960, 960, 33),
        (1440, 1440, 40),  # 2& leans into the second half
        (1920, 1920, 40),  # 3: the fifth, clear of the rumble
        (1920, 0, 33),  # 3, where a new chord begins: its root
        (2880, 960, 33),
        (3360, 3360, 33),  # 4& leans into the next bar
        (1920, None, 33),  # live, where nobody can tell
    ],
)
def test_a_left_hand_in_two_has_the_fifth_in_the_second_half(
    offset: int, since: int | None, pitch: int
) -> None:
    """Root on 1, fifth on 3, while the chord stays; offbeats belong to the half that they lean into."""
    low = LowNote(LowNoteSettings(second_half="fifth"))
    at = moment(tick=offset, offset_ticks=offset, ticks_since_change=since, ticks_to_change=3840)
    assert one(low.strikes(KICK, at)).pitches == (pitch,)
    assert one(LowNote(LowNoteSettings()).strikes(KICK, at)).pitches == (33,)


def test_a_slash_chord_s_bass_stays_in_two() -> None:
    """Over F1 the fifth is C2; a bass note that is not the root stays what it is."""
    low = LowNote(LowNoteSettings(second_half="fifth"))
    held = {"offset_ticks": 1920, "ticks_since_change": 1920, "ticks_to_change": 3840}
    assert one(low.strikes(KICK, moment(chord=FMAJ7, low=29, **held))).pitches == (36,)
    assert one(low.strikes(KICK, moment(chord=FMAJ7, low=33, **held))).pitches == (33,)


def test_a_chart_s_own_push_or_stop_is_not_brought_earlier() -> None:
    """Where the chart marks when the next chord comes, the kick before it keeps to its own chord."""
    last = moment(ticks_to_change=480, next_fixed=True)
    assert one(LowNote(LowNoteSettings()).strikes(KICK, last)).pitches == (33,)


@pytest.mark.parametrize(
    ("line", "metre", "places"),
    [
        ("none", (4, 4), set()),
        ("one", (3, 4), {0}),
        ("two", (4, 4), {0, 1920}),
        ("two", (12, 8), {0, 2880}),
        ("walking", (3, 4), {0, 960, 1920}),
        ("walking", (6, 8), {0, 1440}),
    ],
)
def test_a_line_has_its_places_in_the_bar(line: str, metre: tuple[int, int], places: set[int]) -> None:
    """None of its own, on 1, in two, or on every beat as it is felt."""
    low = LowNote(LowNoteSettings.model_validate({"line": line}))
    assert low.line_places(Metre(*metre)) == places


def test_the_line_is_not_quite_legato_and_under_the_right_hand() -> None:
    """It is as loud as a left hand is for what the drummer plays, a feathered kick too, and let go before its next."""
    low = LowNote(LowNoteSettings(line="two"))
    strike = one(low.line(moment(loudness=80)))
    assert (strike.pitches, strike.role, strike.fingers) == ((33,), Role.BASS, (5,))
    assert 0.75 <= strike.velocity / right_velocity(80) <= 0.85
    assert 1632 <= strike.hold_ticks < 1920
    feathered = one(low.strikes(hit(Piece.KICK, 25), moment(loudness=80, stroke=Stroke.GHOST)))
    assert feathered.velocity == strike.velocity


def test_a_line_in_two_leads_on_at_a_phrase_s_end() -> None:
    """With an approach, every fourth bar's second half is a half step from the next root; so is a flat thirteenth's."""
    low = LowNote(LowNoteSettings(line="two", second_half="fifth", approach=True))
    half = {"offset_ticks": 1920, "ticks_since_change": 1920, "ticks_to_change": 1920, "next_low": 36}
    assert one(low.line(moment(bar=3, **half))).pitches == (40,)
    assert one(low.line(moment(bar=4, **half))).pitches == (35,)
    altered = parse_chord("A7b13")
    assert one(low.line(moment(bar=3, chord=altered, **half))).pitches == (35,)
    ending = {"offset_ticks": 1920, "ticks_since_change": 1920, "ticks_to_change": None, "next_low": None}
    assert one(low.line(moment(bar=4, **ending))).pitches == (40,)
    assert one(low.line(moment(bar=4, turn_low=38, **ending))).pitches == (37,)


def test_a_walk_starts_anew_with_each_chord_in_the_bar() -> None:
    """Two chords a bar: root and half step, root and half step; a kick between beats repeats the beat's note."""
    low = LowNote(LowNoteSettings(line="walking"))
    first = {"chord": AM7, "low": 45, "next_low": 41, "next_chord": FMAJ7}
    offsets = [(0, 0, 1920), (960, 960, 960), (1200, 1200, 720)]
    walked = [
        one(
            low.line(moment(offset_ticks=at, ticks_since_change=since, ticks_to_change=left, **first))
        ).pitches
        for at, since, left in offsets
    ]
    assert walked == [(45,), (42,), (42,)]


@pytest.mark.parametrize(
    ("reply", "pitch"), [("octave", 45), ("fifth", 40), ("tenth", 48), ("chord tone", 43)]
)
def test_the_reply_is_the_chord_tone_asked_for(reply: str, pitch: int) -> None:
    """On Am7 above A1: the octave A2, the fifth E2, the minor tenth C3, the seventh G2."""
    settings = ThumbReplySettings.model_validate({"reply": reply})
    assert one(ThumbReply(settings).strikes(SNARE, moment())).pitches == (pitch,)


@pytest.mark.parametrize("reply", ["fifth", "tenth", "chord tone"])
def test_the_reply_stands_clear_above_a_bass_line(reply: str) -> None:
    """Where a bass line sounds, the thumb replies to its note, whatever the low note is, and makes no mud with it."""
    thumb = ThumbReply(ThumbReplySettings.model_validate({"reply": reply}))
    for bass in range(26, 46):
        (pitch,) = one(thumb.strikes(SNARE, moment(bass=bass))).pitches
        assert bass < pitch <= bass + 16
        assert not is_muddy(bass, pitch)


def test_a_ghost_is_a_third_of_an_accent() -> None:
    """A soft ghost has about a third of an accent's velocity, and each matters what its hit matters."""
    thumb = ThumbReply(ThumbReplySettings())
    accent = one(thumb.strikes(hit(Piece.SNARE, 112), moment(stroke=Stroke.ACCENT, importance=1.9)))
    ghost = one(thumb.strikes(hit(Piece.SNARE, 38), moment(stroke=Stroke.GHOST, importance=0.3)))
    assert 0.28 <= ghost.velocity / accent.velocity <= 0.38
    assert (ghost.weight, accent.weight) == (0.3, 1.9)


def test_ghosts_go_to_the_second_finger_or_are_left_out() -> None:
    """The pattern may put ghosts on the chord's fifth, or leave them out with a reason."""
    ghost = moment(stroke=Stroke.GHOST)
    second = one(ThumbReply(ThumbReplySettings(ghosts="second finger")).strikes(SNARE, ghost))
    assert (second.pitches, second.fingers) == ((40,), (2,))
    assert isinstance(ThumbReply(ThumbReplySettings(ghosts="leave out")).strikes(SNARE, ghost), LeaveOut)


def test_a_cross_stick_is_drier_than_a_snare() -> None:
    """The side stick is the thumb's note, shorter than the snare's; or a pair of the chord."""
    dry = one(Click(ClickSettings()).strikes(hit(Piece.SIDE_STICK), moment()))
    crack = one(ThumbReply(ThumbReplySettings()).strikes(SNARE, moment()))
    assert dry.pitches == crack.pitches
    assert dry.hold_ticks < crack.hold_ticks
    pair = one(Click(ClickSettings(play="pair")).strikes(hit(Piece.SIDE_STICK), moment()))
    assert (pair.pitches, pair.hand) == ((64, 67), Hand.RIGHT)
