"""A recording is what the part says: when, how long, how loud, never clipped, the same bytes each time."""

from __future__ import annotations

import wave
from pathlib import Path

import numpy as np
import pytest

from handgroove.groove.kit import Piece
from handgroove.output.files import write_whole
from handgroove.output.sound import format_sound
from handgroove.output.sound.instrument import Instrument, read_instrument
from handgroove.output.sound.recording import TAIL_SEC, record
from handgroove.output.sound.soundfont import Frames
from handgroove.timeline import Metre, MetreChange, TempoChange, Timeline
from tests.output.sound.parts import hit, make_part, note
from tests.tools.measure_sound import find_cents, find_onset, find_speed, level_db

RATE = 44_100


@pytest.fixture(scope="module")
def piano() -> Instrument:
    """Read the piano once for this module."""
    return read_instrument()


def read_wav(path: Path) -> Frames:
    """Return the left and right frames of a WAV file, read by Python's own reader."""
    with wave.open(str(path)) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (2, 2, RATE)
        pcm = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2")
    return pcm.reshape(-1, 2).T.astype(np.float32) / np.float32(32768)


def test_wav_holds_the_part(tmp_path: Path) -> None:
    """The file is stereo, 44.1 kHz, 16 bits, as long as the music and its tail, and not silent."""
    path = write_whole(tmp_path / "take.wav", format_sound(make_part(note(0, 1, 60), note(4, 1, 67))))
    frames = read_wav(path)
    assert frames.shape == (2, round((4 + TAIL_SEC) * RATE))
    assert level_db(frames) > -50
    assert find_cents(frames[0][: RATE // 2], 60) == pytest.approx(0, abs=10)
    assert find_cents(frames[0][2 * RATE : 2 * RATE + RATE // 2], 67) == pytest.approx(0, abs=10)


def test_same_part_same_bytes() -> None:
    """Two recordings of a part, drums and clicks included, are equal byte for byte."""
    part = make_part(note(0, 1, 60), hits=(hit(0, Piece.SNARE), hit(1, Piece.CRASH)))
    first, again = (format_sound(part, drums="soft", click=True) for _ in range(2))
    assert first == again


@pytest.mark.parametrize("tempo_bpm", [67, 112, 189])
def test_onsets_are_where_the_midi_has_them(piano: Instrument, tempo_bpm: float) -> None:
    """Each of sixteen offbeat notes begins within 2 milliseconds of its tick's time."""
    pitches = (48, 60, 72, 79)
    notes = [note(0.01 + beat, 0.1, pitches[beat % 4]) for beat in range(16)]
    part = make_part(*notes, bars=4, tempo_bpm=tempo_bpm)
    sound = np.abs(record(part, piano)).max(axis=0)
    for each in part.notes:
        due = part.timeline.tick_to_sec(each.tick) * RATE
        window = round(due - 0.015 * RATE if due > 0.015 * RATE else 0), round(due + 0.03 * RATE)
        assert find_onset(sound, *window, share=0.06) == pytest.approx(due, abs=0.002 * RATE)


def test_tempo_changes_are_followed(piano: Instrument) -> None:
    """After a change to half the tempo the second bar's note comes a whole first bar later."""
    timeline = Timeline(
        (MetreChange(0, Metre(4, 4)),), (TempoChange(0, 250_000), TempoChange(1920, 1_000_000)), 7680
    )
    sound = record(make_part(note(4, 1, 72), timeline=timeline), piano)
    assert find_onset(np.abs(sound).max(axis=0), 0, sound.shape[1]) == pytest.approx(
        2.5 * RATE, abs=0.002 * RATE
    )


def test_a_key_let_go_is_damped(piano: Instrument) -> None:
    """A quarter second after a middle key is let go its sound has fallen by 40 dB and more."""
    sound = record(make_part(note(0, 1, 60)), piano)
    held, gone = sound[:, RATE // 4 : RATE // 2], sound[:, 3 * RATE // 4 : RATE]
    assert level_db(gone) < level_db(held) - 40


def test_bass_is_damped_slower_than_treble_and_the_top_not_at_all(piano: Instrument) -> None:
    """A tenth of a second after the key is let go more is left of a bass string, and all of the topmost."""
    left = []
    for pitch in (28, 60, 84):
        short, long = (record(make_part(note(0, beats, pitch)), piano) for beats in (1, 4))
        span = slice(round(0.6 * RATE), round(0.65 * RATE))
        left.append(level_db(short[:, span]) - level_db(long[:, span]))
    assert left == sorted(left, reverse=True)
    assert left[0] < -5
    short, long = (record(make_part(note(0, beats, 100)), piano) for beats in (0.25, 4))
    span = slice(round(0.3 * RATE), round(0.35 * RATE))
    assert level_db(short[:, span]) > level_db(long[:, span]) - 4


def test_pedal_holds_and_lets_go(piano: Instrument) -> None:
    """A key let go under the pedal sounds as if held until the pedal comes up, and then it is damped."""
    short = note(0, 0.5, 60)
    dry, wet, held = (
        record(part, piano)
        for part in (
            make_part(short),
            make_part(short, pedal=((0.2, True), (4, False))),
            make_part(note(0, 4, 60)),
        )
    )
    middle, after = slice(RATE, 2 * RATE), slice(round(2.4 * RATE), round(2.6 * RATE))
    assert np.array_equal(wet[:, : 2 * RATE], held[:, : 2 * RATE])
    assert level_db(dry[:, middle]) < level_db(wet[:, middle]) - 40
    assert level_db(wet[:, after]) < level_db(wet[:, middle]) - 40


def test_a_key_held_through_the_pedal_is_not_cut(piano: Instrument) -> None:
    """The pedal coming up does nothing to a key that is still held."""
    long = note(0, 4, 60)
    with_pedal = record(make_part(long, pedal=((0.5, True), (1, False))), piano)
    assert np.array_equal(with_pedal, record(make_part(long), piano))


def test_changing_the_pedal_at_a_chord_change_lets_the_old_chord_go(piano: Instrument) -> None:
    """Up on the beat and down again just after catches the new chord and not the old one."""
    pedal = ((0.1, True), (2, False), (2.1, True), (4, False))
    both = record(make_part(note(0, 1, 60), note(2, 1, 67), pedal=pedal), piano)
    only_new = record(make_part(note(2, 1, 67), pedal=pedal), piano)
    span = slice(round(1.5 * RATE), round(1.9 * RATE))
    assert level_db(both[:, span] - only_new[:, span]) < level_db(both[:, span]) - 40


def test_a_string_struck_again_does_not_sound_twice(piano: Instrument) -> None:
    """Under the pedal, one key struck sixteen times in two seconds is no louder at the end than after two strokes."""
    pedal = ((0, True), (8, False))
    many = record(make_part(*(note(beat / 4, 0.2, 60) for beat in range(16)), pedal=pedal), piano)
    quarters = [level_db(many[:, k * RATE // 4 : (k + 1) * RATE // 4]) for k in range(1, 8)]
    assert max(quarters) - quarters[0] < 1.5


def test_nothing_ever_clips(tmp_path: Path) -> None:
    """Ten keys at full force in both hands, again and again, with the drums, stay 1 dB below full scale."""
    chord = (28, 35, 40, 43, 47, 60, 64, 67, 71, 76)
    notes = [note(beat / 2, 0.5, pitch, 127) for beat in range(16) for pitch in chord]
    hits = tuple(hit(beat / 2, piece, 127) for beat in range(16) for piece in (Piece.KICK, Piece.CRASH))
    part = make_part(*notes, hits=hits, pedal=((0, True), (8, False)))
    sound = read_wav(write_whole(tmp_path / "loud.wav", format_sound(part, drums="soft")))
    assert 0.8 < np.abs(sound).max() <= 10 ** (-1 / 20)


def test_limiter_leaves_the_shape_of_waves_alone(piano: Instrument) -> None:
    """What the limiter turned down is turned down, not bent: no more than two frames in a row at the ceiling."""
    notes = [note(0, 2, pitch, 127) for pitch in (28, 40, 47, 60, 64, 67, 71, 76)]
    sound = np.abs(record(make_part(*notes), piano)[0])
    top = sound >= 0.999 * 10 ** (-1 / 20)
    assert not (top[:-2] & top[1:-1] & top[2:]).any()


def test_a_louder_reading_sounds_louder(piano: Instrument) -> None:
    """Levels are fixed, not fitted to each file: the same notes struck softer make a softer recording."""
    soft, loud = (record(make_part(note(0, 1, 60, v), note(1, 1, 64, v)), piano) for v in (50, 100))
    assert level_db(loud) - level_db(soft) > 10


def test_drums_alone_and_both(piano: Instrument) -> None:
    """The drums can be heard alone, softly with the piano, or not at all."""
    part = make_part(note(0, 1, 60), hits=(hit(4, Piece.SNARE),))
    off, soft, only = (record(part, piano, drums=drums) for drums in ("off", "soft", "only"))
    assert level_db(off[:, 2 * RATE : 3 * RATE]) < -80
    assert np.array_equal(off[:, :RATE], soft[:, :RATE])
    assert not only[:, :RATE].any()
    drum_soft, drum_only = (level_db(s[:, 2 * RATE : 3 * RATE]) for s in (soft, only))
    assert -50 < drum_soft < drum_only - 6


def test_count_in_comes_before_the_music(piano: Instrument) -> None:
    """One bar counted puts four clicks, the first one highest, before the first note, which is a bar later."""
    part = make_part(note(0, 1, 60))
    plain, counted = (record(part, piano, count_in_bars=bars) for bars in (0, 1))
    assert counted.shape[1] - plain.shape[1] == 2 * RATE
    assert np.allclose(counted[:, 2 * RATE : 3 * RATE], plain[:, :RATE], atol=1e-6)
    clicks = counted[0, : 2 * RATE]
    for beat in range(4):
        at = beat * RATE // 2
        assert find_onset(np.abs(clicks), at, at + RATE // 4) - at < 0.002 * RATE
    high, low = (np.abs(np.fft.rfft(clicks[at : at + 2048])).argmax() * RATE / 2048 for at in (0, RATE // 2))
    assert float(high) == pytest.approx(1568, abs=25)
    assert float(low) == pytest.approx(1047, abs=25)


def test_pickup_is_part_of_the_count(piano: Instrument) -> None:
    """With a pickup of one beat, one bar counted is three clicks and then the pickup."""
    timeline = Timeline(
        (MetreChange(0, Metre(4, 4)),), (TempoChange(0, 500_000),), 960 + 3840, pickup_ticks=960
    )
    counted = record(make_part(note(0, 1, 72), timeline=timeline), piano, count_in_bars=1)
    plain = record(make_part(note(0, 1, 72), timeline=timeline), piano)
    assert counted.shape[1] - plain.shape[1] == round(1.5 * RATE)


def test_click_sounds_on_every_beat(piano: Instrument) -> None:
    """In 6/8 the click falls on the dotted quarters, two to the bar."""
    timeline = Timeline.of(Metre(6, 8), 120, 1)
    sound = record(make_part(timeline=timeline), piano, click=True)[0]
    eighths = np.array_split(sound[: 3 * RATE // 2], 6)
    assert [level_db(eighth) > -40 for eighth in eighths] == [True, False, False, True, False, False]


def test_a_span_is_recorded_alone(piano: Instrument) -> None:
    """The second bar alone is the second bar, from its first frame on."""
    part = make_part(note(0, 1, 60), note(4, 1, 67), hits=(hit(0, Piece.KICK), hit(4, Piece.SNARE)))
    whole, second = (record(part, piano, span=span, drums="soft") for span in (None, (3840, 7680)))
    assert second.shape[1] == round((2 + TAIL_SEC) * RATE)
    assert np.allclose(whole[:, 2 * RATE : 3 * RATE], second[:, :RATE], atol=1e-4)


def test_speed_is_measured(piano: Instrument) -> None:
    """The measure of speed counts seconds of music for each second of work."""
    assert find_speed(make_part(note(0, 1, 60)), piano) > 1
