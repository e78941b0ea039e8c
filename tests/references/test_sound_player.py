"""Our player against FluidSynth (LGPL, from Debian), an independent player, on the same SF3 file."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import mido
import numpy as np
import pytest

from handgroove.output.sound.instrument import PIANO, read_instrument
from handgroove.output.sound.recording import record
from tests.output.sound.parts import make_part, note

RATE = 44_100

pytestmark = pytest.mark.skipif(
    shutil.which("fluidsynth") is None, reason="FluidSynth is not here (Debian: apt-get install fluidsynth)"
)


def play_with_fluidsynth(
    folder: Path, pitch: int, velocity: int
) -> np.ndarray[tuple[int, ...], np.dtype[np.float32]]:
    """Return left and right frames of one key held for a second, without reverb and chorus."""
    track = mido.MidiTrack()
    track.append(mido.MetaMessage("set_tempo", tempo=500_000))
    track.append(mido.Message("note_on", note=pitch, velocity=velocity, time=0))
    track.append(mido.Message("note_off", note=pitch, time=960))
    track.append(mido.MetaMessage("end_of_track", time=1920))
    mido.MidiFile(ticks_per_beat=480, tracks=[track]).save(folder / "one.mid")
    options = ["-ni", "-R", "0", "-C", "0", "-g", "0.5", "-r", str(RATE), "-O", "float", "-T", "raw"]
    files = ["-F", str(folder / "one.raw"), str(PIANO), str(folder / "one.mid")]
    subprocess.run(["fluidsynth", *options, *files], check=True, capture_output=True, timeout=60)
    return np.fromfile(folder / "one.raw", dtype="<f4").reshape(-1, 2).T


@pytest.mark.parametrize("pitch", [24, 40, 52, 64, 76, 88, 100])
def test_same_waves_as_fluidsynth(tmp_path: Path, pitch: int) -> None:
    """At the velocity whose brightness is the sample's own, waves correlate by 0.99 and more, and levels agree."""
    theirs = play_with_fluidsynth(tmp_path, pitch, 114)
    ours = record(make_part(note(0, 2, pitch, 114)), read_instrument())
    gains = []
    for left, right in zip(ours, theirs, strict=True):
        count = min(len(left), len(right), 2 * RATE)
        a, b = left[:count].astype(float), right[:count].astype(float)
        # It starts some 64 frames late, and not by whole frames: look at an eighth of a frame.
        product = np.fft.rfft(a, 4 * count) * np.conj(np.fft.rfft(b, 4 * count))
        lags = 8 * np.fft.irfft(product, 32 * count)
        assert lags.max() / np.sqrt((a @ a) * (b @ b)) > 0.99
        gains.append(10 * np.log10((a @ a) / (b @ b)))
    assert gains == pytest.approx([4.0, 4.0], abs=0.3)
