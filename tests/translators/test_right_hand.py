"""Hats, ride, crash, toms and hand percussion."""

from __future__ import annotations

from typing import Any

import pytest

from handgroove.groove.hits import Stroke
from handgroove.groove.kit import Family, Piece
from handgroove.groove.suggest.cell_model import CellStroke, Touch
from handgroove.strike import Hand, LeaveOut
from handgroove.translators.comping import Comping, CompingSettings
from handgroove.translators.hand_percussion import HandPercussion, HandPercussionSettings
from handgroove.translators.tom_tones import TomTones, TomTonesSettings
from handgroove.translators.two_handed_chord import TwoHandedChord, TwoHandedChordSettings
from tests.translators.moments import AM7, hit, moment, one

HAT, RIDE = hit(Piece.CLOSED_HAT), hit(Piece.RIDE)
FULL, PAIR, THUMB = (60, 64, 67), (64, 67), (60,)


def comp(piece: Piece = Piece.CLOSED_HAT, settings: dict[str, Any] | None = None, **changes: Any) -> Any:
    """Return the comping translator's answer."""
    return Comping(CompingSettings(**(settings or {}))).strikes(hit(piece), moment(**changes))


@pytest.mark.parametrize(
    ("offset", "stroke", "pitches"),
    [
        (0, Stroke.ACCENT, FULL),
        (480, Stroke.NORMAL, THUMB),
        (960, Stroke.ACCENT, PAIR),
        (1440, Stroke.NORMAL, THUMB),
        (1920, Stroke.ACCENT, FULL),
    ],
)
def test_accented_hats_carry_the_chord_and_light_ones_the_thumb(
    offset: int, stroke: Stroke, pitches: tuple[int, ...]
) -> None:
    """Straight eighths on rootless Am7: whole chord on 1 and 3, its upper pair on 2, the thumb between."""
    assert one(comp(offset_ticks=offset, stroke=stroke, rate=3.7)).pitches == pitches


@pytest.mark.parametrize(("offset", "pitches"), [(0, PAIR), (240, THUMB), (480, PAIR), (720, THUMB)])
def test_sixteenths_at_96_rock(offset: int, pitches: tuple[int, ...]) -> None:
    """At 6.4 a second light sixteenths go pair, thumb, pair, thumb."""
    assert one(comp(offset_ticks=offset, rate=6.4, tempo_bpm=96.0)).pitches == pitches


def test_fast_eighths_are_no_sixteenths() -> None:
    """At 140 light eighths come 4.7 a second, yet keep to the thumb: the hand doesn't grow heavier with the tempo."""
    assert one(comp(offset_ticks=480, rate=4.67, tempo_bpm=140.0)).pitches == THUMB


@pytest.mark.parametrize(("offset", "pitches"), [(0, FULL), (480, THUMB), (960, PAIR), (1440, THUMB)])
def test_what_is_left_of_sixteenths_at_200_has_chords_on_the_beats(
    offset: int, pitches: tuple[int, ...]
) -> None:
    """At 200 the eighths come 6.7 a second: accents or not, chords fall on the beats and the thumb between."""
    answer = comp(offset_ticks=offset, stroke=Stroke.ACCENT, rate=13.3, tempo_bpm=200.0)
    assert one(answer).pitches == pitches


def test_an_accent_between_the_eighths_gets_the_pair() -> None:
    """Accents decide which sixteenth carries the pair."""
    assert one(comp(offset_ticks=240, stroke=Stroke.ACCENT, rate=6.4)).pitches == PAIR


def test_sixteenths_at_150_are_thinned_to_eighths_and_accents() -> None:
    """At ten a second the strokes between the eighths go, with the rate in the reason; accents stay."""
    fast: dict[str, Any] = {"rate": 10.0, "tempo_bpm": 150.0}
    answer = comp(offset_ticks=240, **fast)
    assert isinstance(answer, LeaveOut)
    assert answer.reason == "hats thinned to eighths: 10 a second is more than a right hand can repeat"
    assert one(comp(offset_ticks=480, **fast)).pitches
    assert one(comp(offset_ticks=240, stroke=Stroke.ACCENT, **fast)).pitches == PAIR


def test_an_open_hat_is_the_whole_chord_held() -> None:
    """The open hat's chord is longer than a closed stroke's."""
    held = one(comp(Piece.OPEN_HAT))
    assert held.pitches == FULL
    assert held.hold_ticks > one(comp(stroke=Stroke.ACCENT)).hold_ticks


def test_not_every_ride_stroke_is_a_chord() -> None:
    """The ride: single notes on 1 and for the skip note, the pair on 2; the foot's hat on 2 carries the chord."""
    assert one(comp(Piece.RIDE)).pitches == (67,)
    assert one(comp(Piece.RIDE, offset_ticks=960)).pitches == PAIR
    assert one(comp(Piece.RIDE, offset_ticks=1600)).pitches == THUMB
    assert one(comp(Piece.PEDAL_HAT, offset_ticks=960)).pitches == FULL


def test_light_strokes_may_be_left_out() -> None:
    """A pattern may leave light strokes out, with a reason."""
    assert isinstance(comp(settings={"light": "leave out"}), LeaveOut)


def test_no_chord_no_comping() -> None:
    """Under N.C. the right hand is told why it rests."""
    answer = comp(chord=None, voicing=())
    assert isinstance(answer, LeaveOut)
    assert "N.C." in answer.reason


def test_a_crash_takes_both_hands() -> None:
    """The crash is the chord over the low octave, the left hand softer than the right; a splash the right alone."""
    crash = TwoHandedChord(TwoHandedChordSettings())
    left, right = crash.strikes(hit(Piece.CRASH, 120), moment())  # type: ignore[misc]
    assert (left.pitches, left.fingers, left.hand) == ((33, 45), (5, 1), Hand.LEFT)
    assert (right.pitches, right.hand) == (FULL, Hand.RIGHT)
    assert left.velocity <= 0.86 * right.velocity
    assert one(crash.strikes(hit(Piece.SPLASH), moment())).hand is Hand.RIGHT


def test_toms_fall_in_pitch_as_they_do_in_height() -> None:
    """From the highest tom to the low floor tom, chord tones that never rise, the low ones in the left hand."""
    toms = [
        Piece.HIGHEST_TOM,
        Piece.HIGH_TOM,
        Piece.MIDDLE_TOM,
        Piece.LOW_TOM,
        Piece.FLOOR_TOM,
        Piece.LOW_FLOOR_TOM,
    ]
    strikes = [one(TomTones(TomTonesSettings()).strikes(hit(tom), moment())) for tom in toms]
    pitches = [strike.pitches[0] for strike in strikes]
    assert pitches == sorted(pitches, reverse=True)
    assert len(set(pitches)) >= 4
    assert {pitch % 12 for pitch in pitches} <= {9, 0, 4, 7}
    assert strikes[0].hand is Hand.RIGHT
    assert strikes[-1].hand is Hand.LEFT


def test_shakers_are_light_and_thinned_and_congas_keep_their_height() -> None:
    """A shaker is one top note, gone where it is fast; a conga is a middle note; all of it may be left out."""
    percussion = HandPercussion(HandPercussionSettings())
    assert one(percussion.strikes(hit(Piece.MARACAS), moment())).pitches == (67,)
    assert isinstance(percussion.strikes(hit(Piece.MARACAS), moment(rate=8.0)), LeaveOut)
    low = one(percussion.strikes(hit(Piece.LOW_CONGA), moment())).pitches
    high = one(percussion.strikes(hit(Piece.HIGH_BONGO), moment())).pitches
    assert low < high
    nothing = HandPercussion(HandPercussionSettings(play="nothing"))
    assert isinstance(nothing.strikes(hit(Piece.LOW_CONGA), moment()), LeaveOut)


def test_hands_stay_in_order_of_loudness() -> None:
    """If the drummer played one stroke louder than another, so does the hand."""
    velocities = [
        one(Comping(CompingSettings()).strikes(hit(Piece.CLOSED_HAT, v), moment())).velocity
        for v in range(1, 128)
    ]
    assert velocities == sorted(velocities)
    assert max(velocities) < 110
    assert Family.HAT is HAT.piece.family
    assert Family.RIDE is RIDE.piece.family


def test_a_key_struck_four_times_alone_gives_way_to_another() -> None:
    """A fifth stroke on the same drum, or of the same thumb, takes another chord tone; a fourth does not."""
    toms = TomTones(TomTonesSettings())
    (pitch,) = one(toms.strikes(hit(Piece.HIGH_TOM), moment())).pitches
    (fourth,) = one(toms.strikes(hit(Piece.HIGH_TOM), moment(row=(pitch, 3)))).pitches
    (fifth,) = one(toms.strikes(hit(Piece.HIGH_TOM), moment(row=(pitch, 4)))).pitches
    assert fourth == pitch < fifth < pitch + 12
    assert fifth % 12 in AM7.pcs
    thumb = CellStroke(Touch.THUMB)
    hats = Comping(CompingSettings())
    assert one(hats.strikes(hit(Piece.CLOSED_HAT), moment(cell=thumb, row=(60, 3)))).pitches == (60,)
    assert one(hats.strikes(hit(Piece.CLOSED_HAT), moment(cell=thumb, row=(60, 4)))).pitches == (64,)


def test_a_crash_at_once_after_another_is_thinner() -> None:
    """Within a quarter of a second of the last crash the right hand has two notes, later the whole chord again."""
    crash = TwoHandedChord(TwoHandedChordSettings())
    for since_ticks, voices in ((300, 2), (600, 3)):
        _, right = crash.strikes(hit(Piece.CRASH, 90), moment(since_ticks=since_ticks))  # type: ignore[misc]
        assert len(right.pitches) == voices
