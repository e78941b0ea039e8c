"""The piano that comes with Handgroove: in tune, even, louder and brighter as it is struck harder."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from handgroove.output.sound.instrument import Instrument, read_instrument
from tests.tools.measure_sound import centroid_hz, find_cents, find_onset, level_db, play_note

KEYS = range(21, 109)
SOME_KEYS = (24, 33, 40, 48, 55, 60, 64, 69, 76, 84, 93, 104)


@pytest.fixture(scope="module")
def piano() -> Instrument:
    """Read the piano once for this module."""
    return read_instrument()


def test_every_key_is_in_tune(piano: Instrument) -> None:
    """Each of the 88 keys is within 10 cents of equal temperament on both sides, measured by Fourier transform."""
    off = {
        key: max((find_cents(side, key) for side in play_note(piano, key, sec=1.2)), key=abs) for key in KEYS
    }
    assert {key: cents for key, cents in off.items() if abs(cents) > 10} == {}


def test_no_key_sticks_out(piano: Instrument) -> None:
    """Neighbouring keys struck alike differ by less than 3 dB in their first 0.3 seconds."""
    levels = [level_db(play_note(piano, key, sec=0.3)) for key in KEYS]
    assert max(abs(a - b) for a, b in itertools.pairwise(levels)) < 3


@pytest.mark.parametrize("key", SOME_KEYS)
def test_harder_is_louder(piano: Instrument, key: int) -> None:
    """The level rises with every step of velocity, by 20 dB at least from a soft stroke to a hard one."""
    levels = [level_db(play_note(piano, key, velocity, 0.5)) for velocity in range(20, 128, 9)]
    assert levels == sorted(levels)
    assert levels[-1] - levels[0] > 20


@pytest.mark.parametrize("key", SOME_KEYS)
def test_harder_is_brighter(piano: Instrument, key: int) -> None:
    """The spectral centroid rises with every step of velocity, by a quarter and more in the middle of the keyboard."""
    centroids = [centroid_hz(play_note(piano, key, velocity, 0.5)[0]) for velocity in range(20, 128, 9)]
    assert centroids == sorted(centroids)
    assert centroids[-1] > centroids[0] * (1.25 if 24 <= key <= 84 else 1.02)


@pytest.mark.parametrize("key", SOME_KEYS)
def test_strings_speak_at_once(piano: Instrument, key: int) -> None:
    """A struck string reaches 3 hundredths of its first peak within 2 milliseconds."""
    sound = np.abs(play_note(piano, key, sec=0.2)).max(axis=0)
    assert find_onset(sound, 0, len(sound)) <= 0.002 * 44_100


def test_loops_have_no_seam(piano: Instrument) -> None:
    """A bass note held for ten seconds falls steadily: no half second is louder than the one before by 3 dB."""
    sound = play_note(piano, 36, sec=10.0)[0]
    levels = [level_db(part) for part in np.split(sound, 20)]
    assert max(b - a for a, b in itertools.pairwise(levels)) < 3
    assert levels[-1] < levels[0] - 20


def test_mono_loses_nothing(piano: Instrument) -> None:
    """Left and right added up are at least as loud as the louder of them for most keys, and never 6 dB softer."""
    lost = []
    for key in KEYS:
        left, right = play_note(piano, key, sec=0.5)
        lost.append(level_db((left + right) / np.sqrt(np.float32(2))) - max(level_db(left), level_db(right)))
    assert min(lost) > -6
    assert float(np.median(lost)) > -1.5
