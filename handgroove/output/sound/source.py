"""A sample made ready to be read at any speed: resampled, looped, and darkened for soft strokes.

One recording of each string, however hard it was struck, is all that a small piano has. A soft hammer wakes fewer
of the upper partials, so each sample has a dark twin, and a stroke mixes the two by its velocity.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from handgroove.output.sound.soundfont import Envelope, Frames, Region

RATE = 44_100  # frames a second of everything that is written or played
_GUARD = 512  # frames that the loop goes on past its end, so that filters and readers cross the seam unhurt
_OPEN_HZ = 16_000  # a cut-off above this is no filter


@dataclass(frozen=True, slots=True)
class SampleSource:
    """One region's sample: *full* has two frames for each of the sample's, *dark* one.

    Both begin with a frame of silence, so that a reader may look one back. *loop* is (start, end) in the sample's
    frames, or None; *length* is how many frames there are to read where nothing loops.
    """

    full: Frames
    dark: Frames
    rate: int
    loop: tuple[int, int] | None
    length: int

    def read(self, first: int, count: int, step: float) -> tuple[Frames, Frames]:
        """Return *count* output frames (fewer at the end) from output frame *first* on, full and dark.

        *step* is how many of the sample's frames pass for each frame of output.
        """
        if self.loop is None:
            count = max(0, min(count, int((self.length - 1) / step) - first))
        position = np.arange(first, first + count, dtype=np.float64)
        position *= step
        if self.loop is not None and count and position[-1] >= self.loop[1]:
            start, end = self.loop
            late = int(np.searchsorted(position, end))
            position[late:] = start + (position[late:] - start) % (end - start)
        return interpolate(self.full, 2 * position), interpolate(self.dark, position)


def step_of(region: Region, rate: int, pitch: float) -> float:
    """Return how many frames of the region's sample pass for each frame of output at *pitch*."""
    if region.fixed_key >= 0:
        pitch = region.fixed_key
    cents = (pitch - region.root_key) * region.scale_cents + region.tune_cents
    return float(rate / RATE * 2 ** (cents / 1200))


def make_source(region: Region, frames: Frames, rate: int) -> SampleSource:
    """Make a Source of the *region*'s *frames* at *rate*."""
    start, end = region.loop_start, region.loop_end
    stop = len(frames) if region.end < 0 else min(region.end, len(frames))
    frames = frames[max(0, region.start) : stop]
    loop = (start, end) if region.loops & 1 and 0 <= start < end - 1 and end <= len(frames) else None
    if loop:
        tail = np.resize(frames[start:end], _GUARD)
        frames = np.concatenate([frames[:end], tail])
    # The Fourier transform wraps round: silence behind the sample keeps its end out of its beginning.
    size = 1 << (len(frames) + _GUARD - 1).bit_length()
    spectrum = np.fft.rfft(frames, size)
    if region.cutoff_hz < _OPEN_HZ:
        spectrum *= _low_pass(region.cutoff_hz, rate, size)
    dark = np.fft.irfft(spectrum * _low_pass(dark_hz(region.root_key), rate, size), size)
    full = 2 * np.fft.irfft(spectrum, 2 * size)
    count = len(frames)
    return SampleSource(_padded(full[: 2 * count]), _padded(dark[:count]), rate, loop, count)


def dark_hz(key: int) -> float:
    """Return the corner in Hz of the dark twin's low-pass for *key*: above its first partials, higher in the bass."""
    return float(250 + 2 * 440 * 2 ** ((key - 69) / 12))


def held_level(envelope: Envelope, pitch: int, count: int) -> Frames:
    """Return the level, 0 to 1, of the first *count* output frames of a held key."""
    hold_sec = envelope.hold_sec * 2 ** (envelope.key_to_hold * (60 - pitch) / 1200)
    decay_sec = envelope.decay_sec * 2 ** (envelope.key_to_decay * (60 - pitch) / 1200) or 1e-3
    level = np.ones(count, dtype=np.float32)
    begin = round(envelope.delay_sec * RATE)
    attack = round(envelope.attack_sec * RATE)
    level[:begin] = 0
    level[begin : begin + attack] = np.linspace(0, 1, attack, dtype=np.float32)[: max(0, count - begin)]
    falling = begin + attack + round(hold_sec * RATE)
    if falling < count and envelope.sustain_db > 0:
        sec = np.arange(count - falling, dtype=np.float32) / RATE
        level[falling:] = _db(-np.minimum(100 * sec / decay_sec, envelope.sustain_db))
    return level


def release_level(release_sec: float) -> Frames:
    """Return the level, 1 falling to nothing, of the output frames after a key is let go, at most ten seconds."""
    release_sec = min(max(release_sec, 0.02), 10.0)
    count = round(release_sec * RATE)
    level: Frames = _db(np.linspace(0, -100, count, dtype=np.float32)) * _last_fade(count)
    return level


def _last_fade(count: int) -> Frames:
    """Return ones that fall to zero over the last tenth, because a release may not end in a step."""
    left = 1 - np.arange(1, count + 1, dtype=np.float32) / count
    return np.minimum(np.float32(1), 10 * left)


def _db(decibels: Frames) -> Frames:
    gain: Frames = np.power(np.float32(10), decibels / np.float32(20), dtype=np.float32)
    return gain


def _low_pass(hz: float, rate: int, size: int) -> npt.NDArray[np.complex128]:
    """Return the response of two one-pole low-passes in a row at the frequencies of a transform of *size* frames."""
    pole = np.exp(-2 * np.pi * hz / rate)
    turn = np.exp(-2j * np.pi * np.arange(size // 2 + 1) / size)
    return np.asarray(((1 - pole) / (1 - pole * turn)) ** 2)


def _padded(frames: npt.NDArray[np.float64]) -> Frames:
    return np.concatenate([np.zeros(1), frames, np.zeros(3)]).astype(np.float32)


def interpolate(
    frames: Frames, position: npt.NDArray[np.float64], base: npt.NDArray[np.int64] | int = 0
) -> Frames:
    """Return *frames* at *position* behind *base*, by the cubic through the four around it (Catmull and Rom, 1974)."""
    whole = position.astype(np.int64)
    part = (position - whole).astype(np.float32)
    whole += base
    before, here, after, beyond = (frames.take(whole + k) for k in range(4))
    bend = 2 * before - 5 * here + 4 * after - beyond
    twist = beyond - before + 3 * (here - after)
    curve: Frames = here + np.float32(0.5) * part * (after - before + part * (bend + part * twist))
    return curve
