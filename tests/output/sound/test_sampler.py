"""The piano played live sounds as it does in a recording, keeps keys and pedal apart, and never clips."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from handgroove.output.sound.instrument import Instrument, read_instrument
from handgroove.output.sound.recording import record
from handgroove.output.sound.sampler import VOICES, Sampler
from handgroove.output.sound.soundfont import Frames
from tests.output.sound.parts import make_part, note
from tests.tools.measure_sound import find_cents, find_onset, level_db

RATE = 44_100
ON, OFF, CONTROL = 0x90, 0x80, 0xB0


@pytest.fixture(scope="module")
def piano() -> Instrument:
    """Read the piano once for this module."""
    return read_instrument()


@pytest.fixture
def sampler(piano: Instrument) -> Sampler:
    """Make a sampler that has played nothing yet."""
    return Sampler(piano)


def play(sampler: Sampler, sec: float, block: int = 256) -> Frames:
    """Return the next *sec* seconds, (side, frame)."""
    return np.concatenate([sampler.render(block) for _ in range(-(-round(sec * RATE) // block))]).T


@pytest.mark.parametrize("pitch", [30, 60, 84, 100])
def test_live_sounds_as_recorded(piano: Instrument, sampler: Sampler, pitch: int) -> None:
    """One held note and its release differ from the recording by less than a hundredth of its level."""
    recorded = record(make_part(note(0, 2, pitch)), piano)
    sampler.send((ON, pitch, 90))
    first = play(sampler, 1.0, 252)
    sampler.send((OFF, pitch, 0))
    live = np.concatenate([first, play(sampler, 0.2, 252)], axis=1)
    assert first.shape[1] == RATE
    assert level_db(live - recorded[:, : live.shape[1]]) < level_db(live) - 40


def test_messages_act_at_their_frame(sampler: Sampler) -> None:
    """A message sent 200 frames into a block is heard 200 frames later than one at its start."""
    sampler.send((ON, 72, 100), 200)
    sound = np.abs(play(sampler, 0.2)).max(axis=0)
    assert not sound[:200].any()
    assert find_onset(sound, 0, len(sound)) - 200 < 0.002 * RATE


def test_pitch_is_right(sampler: Sampler) -> None:
    """A note played live is within 10 cents."""
    sampler.send((ON, 57, 100))
    assert find_cents(play(sampler, 1.0)[0], 57) == pytest.approx(0, abs=10)


def test_pedal_keeps_what_was_let_go(sampler: Sampler) -> None:
    """Keys let go under the pedal sound on until it comes up; a key still held sounds on after that."""
    sampler.send((CONTROL, 64, 127))
    for key in (60, 64):
        sampler.send((ON, key, 90))
    sampler.send((OFF, 60, 0))
    play(sampler, 1.0)
    assert sampler.sounding == {60, 64}
    sampler.send((CONTROL, 64, 0))
    play(sampler, 1.0)
    assert sampler.sounding == {64}


def test_note_on_of_velocity_0_lets_go(sampler: Sampler) -> None:
    """A note-on of velocity 0 is a note-off (MIDI 1.0, page 5)."""
    sampler.send((ON, 60, 90))
    sampler.send((ON, 60, 0))
    play(sampler, 1.0)
    assert sampler.sounding == frozenset()


@pytest.mark.parametrize("number", [120, 123])
def test_all_notes_off_silences(sampler: Sampler, number: int) -> None:
    """All notes off and all sound off end everything, the pedal's notes included."""
    sampler.send((CONTROL, 64, 127))
    for key in range(40, 60):
        sampler.send((ON, key, 90))
        sampler.send((OFF, key, 0))
    sampler.send((CONTROL, number, 0))
    play(sampler, 1.5)
    assert sampler.sounding == frozenset()
    assert not play(sampler, 0.1).any()


def test_what_a_piano_has_no_use_for_is_ignored(sampler: Sampler) -> None:
    """Clocks, programmes, bends, drums and system messages change nothing."""
    for message in ((0xF8,), (0xC0, 5), (0xE0, 0, 64), (0x99, 36, 100), (0xF0, 1, 2, 0xF7), (CONTROL, 1, 90)):
        sampler.send(message)
    assert not play(sampler, 0.1).any()


def test_more_keys_than_voices(sampler: Sampler) -> None:
    """All 88 keys under the pedal, twice, never fail, and the last struck are among what sounds."""
    sampler.send((CONTROL, 64, 127))
    for key in itertools.chain(range(21, 109), range(21, 109)):
        sampler.send((ON, key, 60))
        sampler.render(64)
    assert {106, 107, 108} <= sampler.sounding
    assert len(sampler.sounding) <= VOICES


def test_live_never_clips(sampler: Sampler) -> None:
    """Twenty keys at full force stay 1 dB below full scale."""
    for key in range(40, 80, 2):
        sampler.send((ON, key, 127))
    assert 0.5 < np.abs(play(sampler, 0.5)).max() <= 10 ** (-1 / 20)


def test_blocks_join_without_a_step(piano: Instrument) -> None:
    """The same notes in blocks of 64 and of 512 frames are the same sound."""
    sounds = []
    for block in (64, 512):
        sampler = Sampler(piano)
        sampler.send((ON, 48, 100))
        sounds.append(play(sampler, 0.5, block)[:, : RATE // 2])
    assert np.abs(sounds[0] - sounds[1]).max() < 1e-4
