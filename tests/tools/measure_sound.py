"""What an engineer measures of a recording: pitch, onset, level, brightness, and how fast it was rendered.

Frames are one channel of 44,100 a second, -1 to 1.
"""

from __future__ import annotations

import time

import numpy as np
import numpy.typing as npt

from handgroove.output.sound.instrument import Instrument, read_instrument
from handgroove.output.sound.mix import mix_piano
from handgroove.output.sound.performance import KeyPress
from handgroove.output.sound.recording import record
from handgroove.output.sound.soundfont import Frames
from handgroove.output.sound.source import RATE
from handgroove.part import Part


def play_note(instrument: Instrument, pitch: int, velocity: int = 90, sec: float = 2.0) -> Frames:
    """Return left and right frames of one key held for all of *sec*."""
    mix = np.zeros((2, round(sec * RATE)), dtype=np.float32)
    mix_piano(instrument, [KeyPress(0, mix.shape[1], pitch, velocity)], mix)
    return mix


def find_cents(frames: Frames, pitch: int) -> float:
    """Return how many cents the strongest of the first three partials lies above equal temperament at A = 440 Hz.

    A Fourier transform of the note behind its attack, the peak placed by a parabola through three log magnitudes
    (J. O. Smith, *Spectral Audio Signal Processing*, 2011, "Quadratic Interpolation of Spectral Peaks").
    """
    body = frames[RATE // 20 :]
    size = 1 << 19
    magnitude = np.abs(np.fft.rfft(body * np.hanning(len(body)), size)) + 1e-12
    base_hz = 440 * 2 ** ((pitch - 69) / 12)
    best = (0.0, 0.0)
    for partial in (1, 2, 3):
        low, high = (int(base_hz * partial * 2 ** (c / 1200) * size / RATE) for c in (-60, 60))
        if high + 2 > len(magnitude):
            break
        at = low + int(np.argmax(magnitude[low : high + 1]))
        left, peak, right = np.log(magnitude[at - 1 : at + 2])
        place = at + 0.5 * (left - right) / (left - 2 * peak + right)
        best = max(
            best, (float(magnitude[at]), 1200 * float(np.log2(place * RATE / size / (base_hz * partial))))
        )
    return best[1]


def find_onset(frames: Frames, first: int, last: int, share: float = 0.03) -> int:
    """Return the first frame from *first* to *last* that reaches *share* of the peak between them."""
    stretch = np.abs(frames[first:last])
    return first + int(np.argmax(stretch >= share * stretch.max()))


def level_db(frames: Frames) -> float:
    """Return the root mean square of *frames* in dB below full scale."""
    return float(10 * np.log10(np.mean(np.square(frames, dtype=np.float64)) + 1e-20))


def centroid_hz(frames: Frames) -> float:
    """Return the spectral centroid of *frames*: the mean frequency, weighted by magnitude."""
    magnitude: npt.NDArray[np.float64] = np.abs(np.fft.rfft(frames * np.hanning(len(frames))))
    hz = np.fft.rfftfreq(len(frames), 1 / RATE)
    return float(np.sum(hz * magnitude) / np.sum(magnitude))


def find_speed(part: Part, instrument: Instrument | None = None) -> float:
    """Return how many times faster than it plays the part is recorded, reading the piano included."""
    begin = time.perf_counter()
    mix = record(part, instrument or read_instrument())
    return float(mix.shape[1] / RATE / (time.perf_counter() - begin))
