"""The port that sounds: it opens and closes, is always late by one block, and says plainly what is wrong."""

from __future__ import annotations

import subprocess
import sys
import time
from collections import deque
from pathlib import Path

import numpy as np
import pytest

from handgroove.errors import HandgrooveError
from handgroove.output.sound import HEARING, open_sound
from handgroove.output.sound.device import play
from handgroove.output.sound.instrument import read_instrument
from handgroove.output.sound.sampler import Sampler
from tests.tools.measure_sound import find_onset

RATE = 44_100


def test_plays_and_closes() -> None:
    """On a device that swallows everything the port opens, takes a hundred notes, and closes within two seconds."""
    port = open_sound(backend="null")
    assert port.name == "sound (Null)"
    for key in range(100):
        port.send((0x90, 20 + key % 80, 100))
    port.send((0xF8,))
    assert port.trouble == ""
    begin = time.perf_counter()
    port.close()
    assert time.perf_counter() - begin < 2.5
    port.send((0x90, 60, 100))
    assert "stopped" in port.trouble


def test_a_dead_sound_is_told_and_not_raised() -> None:
    """When the sound's process dies, sending goes on without an error, and the port says that it fell silent."""
    port = open_sound(backend="null")
    port._child.kill()
    port._child.wait()
    for _ in range(10):
        port.send((0x90, 60, 100))
    assert port.trouble == "the sound has stopped: its process has ended"
    port.close()


def test_no_device_is_said_plainly() -> None:
    """Where no device can be opened the error says so and what to do instead, without a trace."""
    with pytest.raises(HandgrooveError) as caught:
        open_sound(backend="coreaudio" if sys.platform == "win32" else "wasapi")  # another system's
    assert "no sound can be played here: no audio device answers" in str(caught.value)
    assert "handgroove ports" in str(caught.value)


def test_a_wrong_soundfont_is_refused(tmp_path: Path) -> None:
    """A file that is not a SoundFont is refused in the same words as for a recording."""
    wrong = tmp_path / "a.sf2"
    wrong.write_text("no font at all, only words")
    with pytest.raises(HandgrooveError, match="expected a SoundFont"):
        open_sound(wrong, backend="null")


def test_late_by_one_block_always() -> None:
    """What comes some milliseconds into one block's time sounds as many milliseconds into the next block."""
    time_sec = [0.0]
    arrived: deque[tuple[float, bytes]] = deque()
    blocks = play(Sampler(read_instrument()), lambda: time_sec[0], arrived)
    next(blocks)
    for came_ms in (1.0, 3.0, 5.0):
        sounds = []
        for _ in range(40):
            blocks.send(256)
            time_sec[0] += 256 / RATE
        begin = time_sec[0]
        sounds.append(blocks.send(256))
        arrived.append((begin + came_ms / 1000, bytes((0x90, 84, 120))))
        for _ in range(3):
            time_sec[0] += 256 / RATE
            sounds.append(blocks.send(256))
        sound = np.abs(np.concatenate(sounds)).max(axis=1)
        due = 256 + came_ms / 1000 * RATE
        assert find_onset(sound, 0, len(sound)) == pytest.approx(due, abs=0.002 * RATE)
        arrived.append((time_sec[0], bytes((0xB0, 123, 0))))
        for _ in range(200):
            time_sec[0] += 256 / RATE
            blocks.send(256)


def test_the_hearing_caution_is_cheap_to_tell() -> None:
    """Telling the caution, as a command's help does, loads neither numpy nor the audio library."""
    code = "import sys; from handgroove.output.sound import HEARING; print({'numpy', 'miniaudio'} & set(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "set()"
    assert "85 dB(A)" in HEARING
