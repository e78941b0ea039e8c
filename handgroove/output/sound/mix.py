"""The desk: piano and single sounds added up, a limiter that never lets the sum clip, and the WAV file.

The mix is two rows of frames (left, right), -1 to 1. Levels are fixed, not fitted to each file, so that a louder
reading sounds louder than a softer one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from handgroove.output.sound.instrument import Instrument, gain_of
from handgroove.output.sound.performance import KeyPress
from handgroove.output.sound.soundfont import Frames, Region
from handgroove.output.sound.source import RATE, held_level, release_level

PIANO_GAIN = 0.56
CEILING = 10 ** (-1 / 20)  # 1 dB below full scale: room for converters and for lossy coding afterwards
_BLOCK = 64
# Frames that are worked on at a time, so that an hour of music needs no second hour in memory.
_PIECE = _BLOCK << 14
_RECOVERY = 0.992  # of a block, after the limiter has turned down: about 0.2 seconds


def mix_piano(instrument: Instrument, soundings: Iterable[KeyPress], mix: Frames) -> None:
    """Add *soundings* to *mix*. Each key's waves are read once, at the length of its longest note."""
    groups: dict[tuple[int, tuple[Region, ...]], list[KeyPress]] = {}
    for sounding in soundings:
        key = sounding.pitch, instrument.regions(sounding.pitch, sounding.velocity)
        groups.setdefault(key, []).append(sounding)
    for (pitch, regions), group in groups.items():
        for region in regions:
            _mix_region(instrument, region, pitch, group, mix)


def _mix_region(
    instrument: Instrument, region: Region, pitch: int, group: Sequence[KeyPress], mix: Frames
) -> None:
    release = release_level(region.envelope.release_sec)
    longest = max(s.end - s.start for s in group) + len(release)
    full, dark = instrument.source(region).read(0, longest, instrument.step(region, pitch))
    level = held_level(region.envelope, pitch, len(full)) * np.float32(
        PIANO_GAIN * 10 ** (-region.attenuation_db / 20)
    )
    full *= level
    dark *= level
    sides = [(mix[side], gain) for side, gain in enumerate(pan_gains(region.pan)) if gain > 1e-6]
    for sounding in group:
        held = sounding.end - sounding.start
        count = min(held + len(release), len(full), mix.shape[1] - sounding.start)
        bright = instrument.brightness(pitch, sounding.velocity)
        gain = gain_of(sounding.velocity)
        wave = full[:count] * np.float32(gain * bright)
        wave += dark[:count] * np.float32(gain * (1 - bright))
        if held < count:
            wave[held:] *= release[: count - held]
        for side, side_gain in sides:
            side[sounding.start : sounding.start + count] += wave if side_gain == 1 else wave * side_gain


def pan_gains(pan: float) -> tuple[np.float32, np.float32]:
    """Return the left and right gains of *pan* (-1 to 1), of equal power together."""
    angle = (pan + 1) * np.pi / 4
    left, right = np.cos(angle), np.sin(angle)
    return np.float32(round(left, 7)), np.float32(round(right, 7))


def add_sound(mix: Frames, start: int, sound: Frames, gains: tuple[float, float]) -> None:
    """Add one channel of *sound* to *mix* at frame *start*, with its left and right *gains*."""
    count = min(len(sound), mix.shape[1] - start)
    if count > 0:
        for side, gain in zip(mix, gains, strict=True):
            side[start : start + count] += sound[:count] * np.float32(gain)


def limit(mix: Frames) -> None:
    """Turn *mix* down, where and while it would pass the ceiling, by a gain that both sides share."""
    peak = _block_peaks(mix)
    if not len(peak) or peak.max() <= CEILING:
        return
    wanted = np.minimum(1, CEILING / np.maximum(peak, 1e-9))
    # Three blocks (4 ms) look ahead, so that the gain is down before the peak arrives.
    near = np.pad(wanted, 3, mode="edge")
    target = np.min([near[k : k + len(peak)] for k in range(7)], axis=0)
    gain, now = np.ones(len(peak)), 1.0
    for index, least in enumerate(target.tolist()):
        now = min(least, 1 - (1 - now) * _RECOVERY)
        gain[index] = now
    gain = _smooth(gain)
    centres = np.arange(len(gain)) * _BLOCK + _BLOCK / 2
    for start in range(0, mix.shape[1], _PIECE):
        piece = mix[:, start : start + _PIECE]
        at = np.arange(start, start + piece.shape[1])
        piece *= np.interp(at, centres, gain).astype(np.float32)
        np.clip(piece, -CEILING, CEILING, out=piece)


def _block_peaks(mix: Frames) -> Frames:
    """Return the highest magnitude in each block of *mix*, of both sides together."""
    peaks = [np.zeros(0, dtype=np.float32)]
    for start in range(0, mix.shape[1], _PIECE):
        piece = np.abs(mix[:, start : start + _PIECE]).max(axis=0)
        piece = np.pad(piece, (0, -len(piece) % _BLOCK))
        peaks.append(piece.reshape(-1, _BLOCK).max(axis=1))
    return np.concatenate(peaks)


def _smooth(
    gain: np.ndarray[tuple[int], np.dtype[np.float64]],
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Return *gain* averaged over five blocks; the look-ahead is wider, so it still is low enough at the peak."""
    near = np.pad(gain, 2, mode="edge")
    return np.asarray(np.mean([near[k : k + len(gain)] for k in range(5)], axis=0))


def format_wav(mix: Frames) -> bytes:
    """Return *mix* as a WAV file of two channels, 16 bits, 44,100 frames a second."""
    pcm = np.empty((mix.shape[1], 2), dtype="<i2")
    for side in (0, 1):
        pcm[:, side] = np.rint(mix[side] * np.float32(32767))
    size = pcm.nbytes
    rate = RATE.to_bytes(4, "little")
    shape = b"\x01\x00\x02\x00" + rate + (RATE * 4).to_bytes(4, "little") + b"\x04\x00\x10\x00"
    head = b"RIFF" + (36 + size).to_bytes(4, "little") + b"WAVEfmt \x10\x00\x00\x00" + shape
    return head + b"data" + size.to_bytes(4, "little") + pcm.tobytes()
