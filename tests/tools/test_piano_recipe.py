"""The recipe of the piano: a small cut that other players read, the same each time."""

from __future__ import annotations

import hashlib
from pathlib import Path

import numpy as np
import pytest

from handgroove.output.sound import soundfont as sf
from handgroove.output.sound.instrument import PIANO
from handgroove.output.sound.soundfont import read_soundfont
from tests.output.sound.test_soundfont import write_font
from tests.tools.piano_recipe import ROOM_DB, SHA256, compress, cut_piano, damping_sec

pytest.importorskip("soundfile", reason="soundfile is not installed")


def test_what_is_shipped_is_what_the_recipe_made() -> None:
    """The piano's file has the digest that the recipe names."""
    assert hashlib.sha256(PIANO.read_bytes()).hexdigest() == SHA256


def test_a_cut_is_read_back(tmp_path: Path) -> None:
    """Keys, pans, roots, loops and decays of a stereo font come through; attacks and dampers are the recipe's own."""
    sides = [
        [(sf.KEYS, low | high << 8), (sf.PAN, pan), (sf.DECAY, 2400), (sf.ATTACK, -7973), (sf.SUSTAIN, 1000)]
        for low, high in ((40, 59), (60, 95))
        for pan in (-500, 500)
    ]
    font = read_soundfont(write_font(tmp_path / "a.sf2", sides))
    cut = tmp_path / "a.sf3"
    cut.write_bytes(cut_piano(font))
    regions = read_soundfont(cut).regions
    assert [(r.keys, r.pan) for r in regions] == [
        ((40, 59), -1),
        ((40, 59), 1),
        ((60, 95), -1),
        ((60, 95), 1),
    ]
    assert {(r.root_key, r.envelope.attack_sec, r.envelope.sustain_db) for r in regions} == {(69, 0, 100)}
    assert {round(r.envelope.decay_sec, 3) for r in regions} == {4}
    assert regions[0].attenuation_db == pytest.approx(ROOM_DB, abs=0.03)
    assert regions[0].envelope.release_sec == pytest.approx(damping_sec(49), rel=0.001)
    assert {r.loop_end - r.loop_start for r in regions} == {1000}


def test_a_cut_is_the_same_each_time(tmp_path: Path) -> None:
    """Two cuts of one font are equal byte for byte."""
    font = read_soundfont(write_font(tmp_path / "a.sf2", [[(sf.PAN, -500)], [(sf.PAN, 500)]]))
    assert cut_piano(font) == cut_piano(font)


def test_compression_keeps_the_wave() -> None:
    """A dying tone comes back in its full length, 25 dB and more above what compression adds."""
    import miniaudio

    frames = np.arange(32_000)
    tone = (0.6 * np.sin(frames * 0.06) * np.exp(-frames / 12_000)).astype(np.float32)
    back = miniaudio.vorbis_read(compress(tone, 32_000))
    pcm = np.frombuffer(back.samples, dtype="<i2").astype(np.float32) / np.float32(32768)
    assert len(pcm) == len(tone)
    assert np.sum(tone**2) > 10**2.5 * np.sum((pcm - tone) ** 2)
