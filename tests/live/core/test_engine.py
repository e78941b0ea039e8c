"""The engine: hits answered, patterns played, changes taken in time, faults fenced."""

from __future__ import annotations

from dataclasses import replace

import pytest

from handgroove.groove.kit import Piece
from handgroove.live.core.changes import Action, At, StageChange
from handgroove.live.core.stage import Sink, Source
from handgroove.strike import Hand
from tests.live.pretended import PretendedClock
from tests.live.stage_rig import Rig, faulty_pattern, real_guard
from tests.styles import every_hat

KICK, SNARE, HAT = 36, 38, 42


def _change(rig: Rig, action: Action, value: str = "", at: At | None = None) -> None:
    rig.far.hear(rig.engine.change(StageChange(action, value, at), rig.now_sec), rig.now_sec)


def _start(rig: Rig) -> None:
    rig.far.hear(rig.engine.start(rig.now_sec), rig.now_sec)


def test_a_kick_is_answered_at_once_by_the_low_note() -> None:
    """A kick on Am7 strikes A1 in the very call that brings it."""
    rig = Rig(plays=False)
    _start(rig)
    rig.hit(KICK, 0.1)
    assert [(sec, pitch) for sec, pitch, _ in rig.far.notes()] == [(0.1, 33)]


def test_the_worked_bar_over_am7_is_played_as_written() -> None:
    """Left hand of the worked example: A1 A2 A1 A1 A2, and the last kick leans on the next bar's F."""
    rig = Rig()
    _start(rig)
    rig.advance(1.99)
    left = [pitch for pitch in rig.far.pitches() if pitch < 50]
    assert left == [33, 45, 33, 33, 45, 29]


def test_a_pattern_is_played_at_its_own_times() -> None:
    """Eighths at 120 fall every quarter second, whenever the engine is asked."""
    rig = Rig(chart="| C |")
    _start(rig)
    rig.advance(1.9)
    times = sorted({round(sec, 6) for sec, _, _ in rig.far.notes()})
    assert times == [0.0, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 1.75]


def test_the_chord_comes_from_the_keys_until_the_chart_moves_on() -> None:
    """The player overrides the chart; at the chart's next chord the chart counts again."""
    rig = Rig(plays=False)
    _start(rig)
    for pitch in (48, 52, 55):
        rig.take(Source.KEYS, (0x90, pitch, 80), 0.2)
    rig.hit(KICK, 0.5)
    rig.hit(KICK, 2.5)
    assert [pitch % 12 for pitch in rig.far.pitches()] == [0, 5]


def test_without_a_chart_the_last_chord_played_counts() -> None:
    """Keys alone: before the first chord only the left hand can answer, and then the chord stays."""
    rig = Rig(plays=False, chart="")
    _start(rig)
    rig.hit(HAT, 0.1)
    assert rig.far.pitches() == []
    for pitch in (50, 53, 57):
        rig.take(Source.KEYS, (0x90, pitch, 80), 0.2)
    for pitch in (50, 53, 57):
        rig.take(Source.KEYS, (0x80, pitch, 0), 0.4)
    rig.hit(KICK, 5.0)
    assert [pitch % 12 for pitch in rig.far.pitches()] == [2]


def test_a_hand_can_be_left_to_the_player() -> None:
    """With the left hand alone, hats get no note and the account says why."""
    rig = Rig(plays=False, hands=frozenset({Hand.LEFT}))
    _start(rig)
    rig.hit(HAT, 0.1)
    rig.hit(KICK, 0.2)
    assert all(pitch < 50 for pitch in rig.far.pitches())
    assert rig.engine.accounts.left_out[("closed hat", "that hand is left to the player")] == 1


@pytest.mark.parametrize(("at", "due_sec"), [(At.BAR, 2.0), (At.BEAT, 1.0)])
def test_a_pattern_changes_at_the_next_line(at: At, due_sec: float) -> None:
    """A change asked for at 0.7 s waits for the next beat or bar and begins there."""
    rig = Rig(changes_at=at)
    _start(rig)
    rig.advance(0.7)
    _change(rig, Action.PATTERN, "next")
    rig.advance(due_sec - 0.05)
    assert rig.engine.programme.pattern.name == "straight-eighths"
    rig.advance(due_sec)
    assert rig.engine.programme.pattern.name == "swing-ride"
    assert not rig.engine.programme.cursor.is_done


def test_next_pressed_twice_goes_two_patterns_on() -> None:
    """What waits counts as taken for the next press."""
    rig = Rig(patterns=("straight eighths", "swing ride", "waltz"))
    _start(rig)
    rig.advance(0.3)
    _change(rig, Action.PATTERN, "next")
    _change(rig, Action.PATTERN, "next")
    rig.advance(2.1)
    assert rig.engine.programme.pattern.name == "waltz"


def test_a_fill_replaces_the_groove_for_its_bar_and_lands() -> None:
    """Asked for in bar 1, the fill is bar 2, its landing is bar 3's first stroke, and the groove goes on."""
    rig = Rig(chart="| C |")
    _start(rig)
    rig.advance(0.5)
    _change(rig, Action.FILL, "down the toms")
    rig.advance(3.95)
    fill_times = sorted({round(sec, 4) for sec, _, _ in rig.far.notes() if 2.0 <= sec < 3.99})
    assert len(fill_times) == 16
    rig.advance(4.2)
    landing = [pitch for sec, pitch, _ in rig.far.notes() if sec == pytest.approx(4.0)]
    assert len(landing) >= 4
    rig.advance(5.9)
    assert sorted({round(sec, 4) for sec, _, _ in rig.far.notes() if sec > 4.1}) == [
        4.25,
        4.5,
        4.75,
        5.0,
        5.25,
        5.5,
        5.75,
    ]


def test_a_section_is_jumped_to_at_the_bar_line() -> None:
    """The next section of the chart begins at the next bar, wherever the chart was."""
    rig = Rig(plays=False, chart="[A]\n| C | C | C | C |\n[B]\n| F | F |")
    _start(rig)
    rig.advance(0.5)
    _change(rig, Action.SECTION, "next")
    rig.hit(KICK, 1.5)
    rig.hit(KICK, 2.2)
    assert [pitch % 12 for pitch in rig.far.pitches()] == [0, 5]


def test_transposition_moves_what_sounds_and_ends_it_where_it_began() -> None:
    """A note begun before the change ends on its own key; later ones sound higher."""
    rig = Rig(plays=False)
    _start(rig)
    rig.hit(KICK, 0.1)
    _change(rig, Action.TRANSPOSE, "2", At.NOW)
    rig.hit(KICK, 0.6)
    assert rig.far.pitches() == [33, 35]
    rig.close()
    assert not rig.far.wrong
    assert not rig.far.sounding


def test_the_level_scales_velocities() -> None:
    """At half the level the same stroke is half as loud."""
    loud, soft = Rig(plays=False), Rig(plays=False, volume=0.5)
    for rig in (loud, soft):
        _start(rig)
        rig.hit(KICK, 0.1)
    assert soft.far.notes()[0][2] == round(loud.far.notes()[0][2] * 0.5)


def test_tapping_sets_the_tempo() -> None:
    """Three taps half a second apart make 120, and the beat is where the taps fall."""
    rig = Rig(tempo_bpm=90.0, plays=False)
    for sec in (1.0, 1.5, 2.0):
        rig.advance(sec)
        _change(rig, Action.TAP)
    assert rig.engine.conductor.tempo_bpm == pytest.approx(120)
    assert rig.engine.conductor.transport.tick_at(2.0) % 960 == pytest.approx(0, abs=0.01)


def test_the_count_in_clicks_and_then_the_groove_begins() -> None:
    """One bar of clicks, the first of them higher, each click ended, and the first note on the fifth beat."""
    rig = Rig(count_in_bars=1)
    out = rig.engine.start(0.0)
    rig.far.hear(out, 0.0)
    rig.advance(2.2)
    clicks = [(sec, message[1]) for sec, message in rig.far.heard if message[0] == 0x99]
    assert clicks == [(0.0, 76), (0.5, 77), (1.0, 77), (1.5, 77)]
    assert min(sec for sec, pitch, _ in rig.far.notes() if pitch not in (76, 77)) == pytest.approx(2.0)
    assert not [key for key in rig.far.sounding if key[0] & 0x10]


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("raise", "RuntimeError: no idea"),
        ("slow", "took 20.0 ms of the 5 ms"),
        ("nonsense", "one to five pitches 0 to 127"),
        ("not strikes", "expected a Strike, got 'C major'"),
        ("none", "expected strikes or a LeaveOut, got None"),
    ],
)
def test_a_failing_translator_is_left_out_and_the_rest_plays_on(what: str, said: str) -> None:
    """Its notes end, the player is told in one line, its later hits are accounted for, and the others still answer."""
    clock = PretendedClock()
    fault = faulty_pattern(what, clock, frozenset({Piece.SNARE}), plays=False)
    rig = Rig(extra=[fault], plays=False, timer=clock)
    _start(rig)
    rig.hit(SNARE, 0.1)
    assert rig.far.pitches() == [60, 64]
    rig.hit(SNARE, 0.2)
    assert rig.far.sounding == {}
    told = rig.engine.accounts.recent(20.0)
    assert len(told) == 1
    assert said in told[0]
    assert "\n" not in told[0]
    rig.hit(KICK, 0.3)
    rig.hit(SNARE, 0.4)
    assert rig.far.pitches() == [60, 64, 33]
    assert sum(rig.engine.accounts.left_out.values()) == 2


def test_a_failed_translator_stays_out_after_a_change_of_pattern() -> None:
    """Changing back to its pattern does not let it in again."""
    clock = PretendedClock()
    rig = Rig(
        extra=[faulty_pattern("raise", clock, frozenset({Piece.SNARE}), every=1, plays=False)],
        plays=False,
        timer=clock,
    )
    _start(rig)
    rig.hit(SNARE, 0.1)
    for _ in range(3):
        _change(rig, Action.PATTERN, "next", At.NOW)
    rig.hit(SNARE, 0.5)
    assert len(rig.engine.accounts.news) == 1


def test_following_a_clock_the_pattern_starts_with_it_and_stops_with_it() -> None:
    """Start and the first clock begin the groove; stop ends every note."""
    rig = Rig(follow=True)
    rig.take(Source.CLOCK, (0xFA,), 0.0)
    assert not rig.far.heard
    for number in range(49):
        rig.take(Source.CLOCK, (0xF8,), 0.1 + number / 48)
    assert rig.far.notes()[0][0] == pytest.approx(0.1)
    assert rig.engine.conductor.tempo_bpm == pytest.approx(120)
    rig.take(Source.CLOCK, (0xFC,), 1.2)
    count = rig.far.begun
    rig.advance(5.0)
    assert rig.far.begun == count
    assert not rig.far.sounding


def test_continue_after_a_song_position_plays_from_there() -> None:
    """Song position 16 is bar 2: the chord there is the chart's second."""
    rig = Rig(follow=True)
    for number in range(48):
        rig.take(Source.CLOCK, (0xF8,), number / 48)
    rig.take(Source.CLOCK, (0xF2, 16, 0), 1.0)
    rig.take(Source.CLOCK, (0xFB,), 1.005)
    for number in range(48, 72):
        rig.take(Source.CLOCK, (0xF8,), number / 48 + 0.01)
    assert min(rig.far.pitches()) == 29  # F1


def test_a_followed_clock_that_goes_quiet_is_told_once_and_the_groove_goes_on() -> None:
    """The tempo is held and the player told."""
    rig = Rig(follow=True)
    rig.take(Source.CLOCK, (0xFA,), 0.0)
    for number in range(48):
        rig.take(Source.CLOCK, (0xF8,), 0.1 + number / 48)
    count = rig.far.begun
    rig.advance(4.0)
    assert rig.far.begun > count
    assert [text for text in rig.engine.accounts.recent(10) if "quiet" in text] == [
        "clock in has gone quiet; going on at 120"
    ]


def test_all_notes_off_silences_everything_and_the_song_goes_on() -> None:
    """Notes of both hands and the player's own end, the pedals come up, and the next stroke sounds."""
    rig = Rig(thru=True)
    _start(rig)
    rig.take(Source.KEYS, (0x91, 72, 90), 0.01)
    rig.take(Source.KEYS, (0xB1, 64, 127), 0.02)
    assert len(rig.far.sounding) > 2
    _change(rig, Action.NOTES_OFF)
    assert rig.far.sounding == {}
    assert set(rig.far.pedals.values()) == {0}
    rig.advance(0.3)
    assert rig.far.sounding


def test_keys_are_passed_on_and_their_loss_ends_them() -> None:
    """With thru, what the player plays goes out on its own channel; when the port goes, it ends."""
    rig = Rig(thru=True, plays=False)
    rig.take(Source.KEYS, (0x92, 60, 90), 0.1)
    rig.take(Source.KEYS, (0xE2, 0, 70), 0.1)
    assert [message for _, message in rig.far.heard] == [(0x92, 60, 90), (0xE2, 0, 70)]
    rig.far.hear(rig.engine.lose(Source.KEYS), 0.2)
    assert rig.far.sounding == {}


def test_lost_active_sensing_ends_the_player_s_notes() -> None:
    """An instrument that sent active sensing and falls silent for more than 330 ms has been unplugged."""
    rig = Rig(thru=True, plays=False)
    rig.take(Source.KEYS, (0xFE,), 0.0)
    rig.take(Source.KEYS, (0x90, 60, 90), 0.1)
    rig.advance(0.42)
    assert rig.far.sounding
    rig.advance(0.45)
    assert rig.far.sounding == {}


@pytest.mark.parametrize(("passes", "count"), [(True, 1), (False, 0)])
def test_sysex_is_passed_or_ignored_as_set(passes: bool, count: int) -> None:
    """Sysex goes out only when asked for; active sensing never does."""
    rig = Rig(pass_other=passes, plays=False)
    rig.take(Source.KEYS, (0xF0, 0x7D, 1, 0xF7), 0.1)
    rig.take(Source.KEYS, (0xFE,), 0.2)
    assert len(rig.far.heard) == count


def test_a_note_that_the_kit_does_not_know_is_accounted_for() -> None:
    """An unknown number gets no note and a line with its number."""
    rig = Rig(plays=False)
    rig.hit(120, 0.1)
    assert [subject for subject, _ in rig.engine.accounts.left_out] == ["note 120"]


def test_after_a_long_standstill_the_missed_hits_are_not_made_up_for() -> None:
    """A lid closed for a minute: what was due meanwhile is left out, and the groove goes on from now."""
    rig = Rig()
    _start(rig)
    rig.advance(1.0)
    count = rig.far.begun
    rig.far.hear(rig.engine.advance(61.0), 61.0)
    assert rig.far.begun - count < 20
    assert not rig.far.wrong
    reasons = {reason for _, reason in rig.engine.accounts.left_out}
    assert reasons == {"the machine stood still"}


def test_a_drummer_s_file_is_played_once_and_stops() -> None:
    """At the end of a file's groove the song stops and nothing sounds."""
    from handgroove.host.fence import Fence
    from handgroove.live.shell.prepare import prepare_pattern

    pattern = every_hat()
    groove = pattern.groove(2)
    playable = prepare_pattern(pattern, Fence(PretendedClock()), groove)
    rig = Rig(extra=[playable])
    _start(rig)
    rig.advance(3.9)
    assert rig.engine.conductor.playing
    rig.advance(4.1)
    assert not rig.engine.conductor.playing
    assert not rig.far.sounding
    assert rig.engine.accounts.answered == len(groove.hits)


def test_outs_carry_their_sink() -> None:
    """Piano notes and clocks go to their own outlets."""
    rig = Rig(send_clock=True)
    out = rig.engine.start(0.0) + rig.engine.advance(0.5)
    assert {sink for sink, _ in out} == {Sink.PIANO, Sink.CLOCK}


@pytest.mark.parametrize("lean_sec", [-0.06, -0.04, 0.0, 0.04])
def test_a_chord_is_the_one_of_the_place_that_a_stroke_means(lean_sec: float) -> None:
    """A drummer who is 60 ms early, or late, throughout gets each bar's own chord with its first stroke."""
    rig = Rig(plays=False, count_in_bars=1)
    _start(rig)
    for beat in range(16):
        rig.hit(KICK, 2.0 + beat * 0.5 + lean_sec)
    roots = [pitch % 12 for pitch in rig.far.pitches() if pitch < 60]
    assert roots == [root for root in (9, 5, 0, 7) for _ in range(4)]


def test_a_change_that_waits_governs_the_early_stroke_that_means_its_line() -> None:
    """A kick 50 ms before the bar line means it: the section that begins there is taken before it is answered."""
    rig = Rig(plays=False, chart="[A]\n| C | C | C | C |\n[B]\n| F | F |")
    _start(rig)
    rig.hit(KICK, 0.5)
    _change(rig, Action.SECTION, "next")
    rig.hit(KICK, 1.5)
    rig.hit(KICK, 1.95)
    assert [pitch % 12 for pitch in rig.far.pitches()] == [0, 0, 5]


def test_a_press_that_means_the_bar_line_waits_for_no_other() -> None:
    """Pressed 50 ms before the line, a change is taken at that line and not a bar later."""
    rig = Rig()
    _start(rig)
    rig.advance(1.95)
    _change(rig, Action.PATTERN, "next")
    rig.advance(2.0)
    assert rig.engine.programme.pattern.name == "swing-ride"


@pytest.mark.parametrize(("gap_sec", "answered"), [(0.02, 1), (0.04, 1), (0.0625, 2)])
def test_a_flam_is_answered_once_and_fast_singles_each(gap_sec: float, answered: int) -> None:
    """The second stroke of a flam presses nothing and has its line; thirty-seconds at 120 are strokes of their own."""
    rig = Rig(plays=False)
    _start(rig)
    rig.hit(SNARE, 1.0, 80)
    rig.hit(SNARE, 1.0 + gap_sec, 100)
    accounts = rig.engine.accounts
    assert accounts.answered == answered
    told = [reason for (_, reason) in accounts.left_out if "flam" in reason]
    assert len(told) == 2 - answered
    assert len(rig.far.pitches()) == answered


def test_a_loud_main_stroke_is_heard_after_its_grace() -> None:
    """A grace comes first and is answered; the main stroke, much louder, sounds too, on another key."""
    rig = Rig(plays=False, guard=real_guard())
    _start(rig)
    rig.hit(SNARE, 1.0, 40)
    rig.hit(SNARE, 1.03, 110)
    grace, main = rig.far.pitches()
    assert grace != main


def test_two_drums_struck_together_are_both_answered() -> None:
    """What follows on another drum is no flam, however close."""
    rig = Rig(plays=False)
    _start(rig)
    rig.hit(KICK, 1.0)
    rig.hit(SNARE, 1.01)
    assert rig.engine.accounts.answered == 2


def test_a_swung_pattern_s_hits_mean_even_places() -> None:
    """The hits of a swung loop keep their times, and their places are the written ones."""
    rig = Rig(patterns=("swing ride",))
    loop = rig.engine.programme.pattern.loop
    assert loop is not None
    assert any(hit.tick % 480 for hit in loop.hits)
    assert all(place % 480 == 0 for place in loop.places)


def test_a_file_s_early_strokes_belong_to_the_bar_that_they_mean() -> None:
    """A drummer's file that is 50 ms early throughout gives the pitches of the same file on the beat."""
    from handgroove.groove.meant.reading import move_hits
    from handgroove.host.fence import Fence
    from handgroove.live.shell.prepare import prepare_pattern
    from handgroove.patterns import read_pattern

    pattern = read_pattern("straight eighths")
    groove = pattern.groove(4)
    hits = tuple(hit for hit in groove.hits if hit.tick >= 960)  # nothing can be early before the file begins
    groove = replace(groove, hits=hits)
    played = []
    for by_ticks in (0, -80):
        playable = prepare_pattern(pattern, Fence(PretendedClock()), move_hits(groove, by_ticks))
        rig = Rig(extra=[playable], tempo_bpm=100.0)
        _start(rig)
        rig.advance(9.7)
        played.append(rig.far.pitches())
    assert played[0] == played[1]
    assert len(played[0]) > 20


def test_a_chord_pressed_a_little_before_a_change_counts_for_what_follows() -> None:
    """Keys pressed 50 ms before the bar line mean it: the chart's change there does not take them away."""
    rig = Rig(plays=False)
    _start(rig)
    for pitch in (50, 54, 57):
        rig.take(Source.KEYS, (0x90, pitch, 80), 1.95)
    rig.hit(KICK, 2.0)
    rig.hit(KICK, 3.0)
    rig.hit(KICK, 4.0)
    assert [pitch % 12 for pitch in rig.far.pitches()] == [2, 2, 0]


def test_a_loop_comps_by_its_cells_as_offline() -> None:
    """A pattern that plays on stage has the right hand that the whole groove has offline, from its first bar on.

    On stage nobody knows that bar 8 is the last, so the groove that it is compared with goes on as well.
    """
    from handgroove import parse_chart, read_pattern, translate
    from tests.live import stage_rig

    rig = Rig(style="cell")
    _start(rig)
    rig.advance(15.9)
    pattern = read_pattern("straight eighths")
    part = translate(pattern.groove(12), parse_chart(stage_rig.CHART), pattern)
    right = [note for note in part.hand(Hand.RIGHT) if note.tick < 8 * 3840]
    offline = sorted((round(note.tick / 1920, 3), note.pitch) for note in right)
    live = sorted((round(sec, 3), pitch) for sec, pitch, _ in rig.far.notes() if pitch > 52)
    assert live == offline
    assert rig.engine.accounts.left_out["closed hat", "left to the cell: felt, not struck"] > 8


def test_at_the_pads_the_cell_is_learned() -> None:
    """The first bar answers each hat, the second has what the first suggests."""
    rig = Rig(style="cell", plays=False)
    _start(rig)
    for eighth in range(16):
        sec = eighth * 0.25
        if eighth % 8 in (0, 3, 4):
            rig.hit(KICK, sec)
        if eighth % 8 in (2, 6):
            rig.hit(38, sec)
        rig.hit(42, sec, 112 if eighth % 2 == 0 else 70)
    struck = {round(sec, 2) for sec, pitch, _ in rig.far.notes() if pitch > 52}
    assert len([sec for sec in struck if sec < 2]) == 8
    assert 3 <= len([sec for sec in struck if sec >= 2]) < 7
