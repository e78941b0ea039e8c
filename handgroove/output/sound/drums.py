"""Drums to compare with: each piece made from a few sines and filtered noise, good enough to hear a groove by.

The recipes are our own, by ear and common practice, no source: a skin is a sine whose pitch falls, a snare is a skin
and noise, cymbals are noise and a cluster of tones that don't agree, wood and bells are tones that die quickly. Noise
comes from a generator of fixed seed, so the same hits give the same sound.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from handgroove.groove.hits import Hit
from handgroove.groove.kit import Family, Piece
from handgroove.output.sound.mix import add_sound, pan_gains
from handgroove.output.sound.soundfont import Frames
from handgroove.output.sound.source import RATE
from handgroove.timeline import Timeline

DRUM_GAIN = 0.8
SOFT_GAIN = 0.22


@dataclass(frozen=True, slots=True)
class Recipe:
    """How a piece sounds: tones at *tones_hz* that fall from *drop* times their pitch, and noise in a band.

    Levels are 0 to 1; each part dies by 60 dB in its *_sec.
    """

    tones_hz: tuple[float, ...] = ()
    tone_sec: float = 0.2
    tone_level: float = 1.0
    drop: float = 1.0
    noise_hz: tuple[float, float] = (2000, 12000)
    noise_sec: float = 0.1
    noise_level: float = 0.0
    level: float = 1.0
    bursts: int = 1


_CLUSTER = (3127.0, 4219.0, 5483.0, 6871.0, 8363.0)
_RECIPES: dict[Piece, Recipe] = {
    Piece.KICK: Recipe((52,), 0.45, 1.0, 3.2, (800, 5000), 0.02, 0.25, 1.3),
    Piece.SNARE: Recipe((182, 331), 0.16, 0.55, 1.3, (1200, 11000), 0.26, 0.8),
    Piece.SIDE_STICK: Recipe((820, 1710), 0.05, 0.9, 1.0, (2000, 8000), 0.03, 0.4, 0.7),
    Piece.CLAP: Recipe((), 0.1, 0.0, 1.0, (900, 5000), 0.2, 1.0, 0.8, 3),
    Piece.CLOSED_HAT: Recipe(_CLUSTER, 0.06, 0.15, 1.0, (6500, 15000), 0.08, 0.7, 0.6),
    Piece.PEDAL_HAT: Recipe(_CLUSTER, 0.05, 0.1, 1.0, (4500, 12000), 0.07, 0.6, 0.45),
    Piece.OPEN_HAT: Recipe(_CLUSTER, 0.5, 0.12, 1.0, (5500, 15000), 0.7, 0.7, 0.6),
    Piece.RIDE: Recipe((2210, *_CLUSTER), 0.9, 0.2, 1.0, (4500, 13000), 1.1, 0.3, 0.6),
    Piece.RIDE_BELL: Recipe((1310, 2217, 3290), 1.2, 0.5, 1.0, (5000, 12000), 0.6, 0.15, 0.6),
    Piece.CRASH: Recipe(_CLUSTER, 1.5, 0.1, 1.0, (2500, 14000), 2.2, 0.9, 0.8),
    Piece.SPLASH: Recipe(_CLUSTER, 0.5, 0.1, 1.0, (4000, 15000), 0.7, 0.9, 0.7),
    Piece.CHINA: Recipe((1740, *_CLUSTER), 0.9, 0.2, 1.0, (1500, 11000), 1.4, 0.9, 0.7),
    Piece.TAMBOURINE: Recipe(_CLUSTER, 0.15, 0.25, 1.0, (6000, 15000), 0.2, 0.6, 0.5, 2),
    Piece.COWBELL: Recipe((562, 845), 0.3, 1.0, 1.0, level=0.6),
    Piece.VIBRASLAP: Recipe((1900,), 0.1, 0.2, 1.0, (1500, 6000), 0.8, 0.7, 0.5, 8),
    Piece.CABASA: Recipe(noise_hz=(5000, 14000), noise_sec=0.09, noise_level=1.0, level=0.45),
    Piece.MARACAS: Recipe(noise_hz=(6000, 15000), noise_sec=0.05, noise_level=1.0, level=0.45),
    Piece.SHORT_WHISTLE: Recipe((2350, 2410), 0.3, 0.7, level=0.4),
    Piece.LONG_WHISTLE: Recipe((2350, 2410), 0.9, 0.7, level=0.4),
    Piece.SHORT_GUIRO: Recipe(noise_hz=(2500, 8000), noise_sec=0.12, noise_level=1.0, level=0.5, bursts=6),
    Piece.LONG_GUIRO: Recipe(noise_hz=(2500, 8000), noise_sec=0.3, noise_level=1.0, level=0.5, bursts=12),
    Piece.CLAVES: Recipe((2500,), 0.08, level=0.6),
    Piece.HIGH_WOOD_BLOCK: Recipe((1150, 1830), 0.07, level=0.6),
    Piece.LOW_WOOD_BLOCK: Recipe((780, 1260), 0.08, level=0.6),
    Piece.MUTE_CUICA: Recipe((620,), 0.12, drop=0.7, level=0.5),
    Piece.OPEN_CUICA: Recipe((480,), 0.3, drop=0.6, level=0.5),
    Piece.MUTE_TRIANGLE: Recipe((4500, 6730), 0.12, level=0.35),
    Piece.OPEN_TRIANGLE: Recipe((4500, 6730), 1.6, level=0.35),
    Piece.HIGH_AGOGO: Recipe((1080, 2340), 0.35, level=0.5),
    Piece.LOW_AGOGO: Recipe((760, 1650), 0.4, level=0.5),
}
_PAN = {Family.HAT: -0.35, Family.RIDE: 0.4, Family.CRASH: -0.3, Family.HAND: 0.25}
_HAT_CLOSERS = (Piece.CLOSED_HAT, Piece.PEDAL_HAT)
_CHOKE_SEC = 0.03


def recipe_of(piece: Piece) -> Recipe:
    """Return how *piece* sounds; toms and hand drums are skins tuned by their height."""
    if piece in _RECIPES:
        return _RECIPES[piece]
    if piece.family is Family.TOM:
        return Recipe((70 * 2 ** (piece.height / 25),), 0.5, 1.0, 1.5, (600, 4000), 0.04, 0.2)
    return Recipe((150 * 2 ** (piece.height / 40),), 0.22, 1.0, 1.15, (1500, 6000), 0.03, 0.25, 0.7)


def make_drum(piece: Piece) -> Frames:
    """Return one stroke on *piece* at full level, one channel."""
    recipe = recipe_of(piece)
    noise = _noise(recipe, zlib.crc32(piece.value.encode())) * recipe.noise_level
    tones = _tones(recipe) * recipe.tone_level
    if len(noise) < len(tones):
        noise, tones = tones, noise
    noise[: len(tones)] += tones
    scaled: Frames = (noise * (recipe.level / max(1e-9, float(np.abs(noise).max())))).astype(np.float32)
    return scaled


def make_click(strong: bool) -> Frames:
    """Return a click of the count: high on the first beat of a bar, lower on the others."""
    sec = np.arange(round(0.06 * RATE)) / RATE
    tone = np.sin(2 * np.pi * (1568 if strong else 1047) * sec)
    return (tone * 10 ** (-3 * sec / 0.05) * (0.5 if strong else 0.35)).astype(np.float32)


def _tones(recipe: Recipe) -> Frames:
    if not recipe.tones_hz:
        return np.zeros(1, dtype=np.float32)
    sec = np.arange(round(recipe.tone_sec * RATE)) / RATE
    # The pitch falls to its own within some 30 ms, as a skin's does when the blow's tension goes.
    bend = 1 + (recipe.drop - 1) * np.exp(-sec / 0.03)
    turns = np.cumsum(bend) / RATE
    total = np.sum([np.sin(2 * np.pi * hz * turns) for hz in recipe.tones_hz], axis=0) / len(recipe.tones_hz)
    tones: Frames = (total * 10 ** (-3 * sec / recipe.tone_sec)).astype(np.float32)
    return tones


def _noise(recipe: Recipe, seed: int) -> Frames:
    if not recipe.noise_level:
        return np.zeros(1, dtype=np.float32)
    count = round(recipe.noise_sec * RATE)
    size = 1 << (count - 1).bit_length()
    # RandomState, because numpy promises that its stream never changes.
    spectrum = np.fft.rfft(np.random.RandomState(seed).standard_normal(size))
    hz = np.arange(len(spectrum)) * RATE / size
    low, high = recipe.noise_hz
    spectrum *= 1 / np.sqrt((1 + (low / np.maximum(hz, 1)) ** 6) * (1 + (hz / high) ** 6))
    noise = np.fft.irfft(spectrum, size)[:count]
    sec = np.arange(count) / RATE
    gap = recipe.noise_sec / (2 * recipe.bursts)
    since = np.where(sec < gap * recipe.bursts, sec % gap, sec - gap * (recipe.bursts - 1))
    fall = 10 ** (-3 * since / (recipe.noise_sec if recipe.bursts == 1 else recipe.noise_sec / 2))
    shaped: Frames = (
        noise / np.abs(noise).max() * fall * np.minimum(1, 8 * (1 - sec / recipe.noise_sec))
    ).astype(np.float32)
    return shaped


def mix_drums(hits: Sequence[Hit], timeline: Timeline, mix: Frames, gain: float, begin: int) -> None:
    """Add *hits* to *mix* at *gain*; *begin* is the output frame that the mix starts at (may be negative)."""
    sounds: dict[Piece, Frames] = {}
    closers = [round(timeline.tick_to_sec(h.tick) * RATE) for h in hits if h.piece in _HAT_CLOSERS]
    later = 0
    for hit in hits:
        if hit.piece not in sounds:
            sounds[hit.piece] = make_drum(hit.piece)
        sound = sounds[hit.piece]
        frame = round(timeline.tick_to_sec(hit.tick) * RATE)
        if hit.piece is Piece.OPEN_HAT:
            while later < len(closers) and closers[later] <= frame:
                later += 1
            if later < len(closers):
                sound = _choked(sound, closers[later] - frame)
        left, right = pan_gains(_PAN.get(hit.piece.family, 0.0))
        level = gain * (hit.velocity / 127) ** 1.6
        if frame >= begin:
            add_sound(mix, frame - begin, sound, (left * level, right * level))


def _choked(sound: Frames, frames: int) -> Frames:
    """Return *sound* closed after *frames*, as a foot closes the hats."""
    fade = round(_CHOKE_SEC * RATE)
    if frames + fade >= len(sound):
        return sound
    short = sound[: frames + fade].copy()
    short[frames:] *= np.linspace(1, 0, fade, dtype=np.float32)
    return short
