"""SoundFonts are read as the specification says, and a wrong file is refused in a musician's words."""

from __future__ import annotations

import builtins
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from handgroove.errors import HandgrooveError
from handgroove.output.sound import format_sound
from handgroove.output.sound import soundfont as sf
from handgroove.output.sound.instrument import PIANO, Instrument
from handgroove.output.sound.soundfont import read_soundfont
from tests.output.sound.parts import make_part, note
from tests.tools.measure_sound import find_cents, play_note
from tests.tools.piano_recipe import damping_sec


def write_font(
    path: Path, zones: list[list[tuple[int, int]]], preset: tuple[tuple[int, int], ...] = ()
) -> Path:
    """Write an SF2 file of one sample, a sine at A4 that loops over ten periods, with *zones* of generators."""
    rate, period = 44_000, 100
    sine = np.round(16_000 * np.sin(2 * np.pi * np.arange(20 * period) / period)).astype("<i2")
    starts = np.cumsum([0, *(len(zone) + 1 for zone in zones)]).tolist()
    tables: dict[bytes, list[tuple[Any, ...]]] = {
        b"phdr": [("a", 0, 0, 0, 0, 0, 0), ("EOP", 0, 0, 1, 0, 0, 0)],
        b"pbag": [(0, 0), (len(preset) + 1, 0)],
        b"pmod": [(0, 0, 0, 0, 0)],
        b"pgen": [*preset, (sf.INSTRUMENT, 0), (0, 0)],
        b"inst": [("a", 0), ("EOI", len(zones))],
        b"ibag": [(at, 0) for at in starts],
        b"imod": [(0, 0, 0, 0, 0)],
        b"igen": [*((o, v & 0xFFFF) for zone in zones for o, v in (*zone, (sf.SAMPLE, 0))), (0, 0)],
        b"shdr": [
            ("sine", 0, len(sine), 5 * period, 15 * period, rate, 69, 0, 0, 1),
            ("EOS", 0, 0, 0, 0, 0, 0, 0, 0, 0),
        ],
    }

    def chunk(name: bytes, body: bytes) -> bytes:
        return name + len(body).to_bytes(4, "little") + body + bytes(len(body) % 2)

    hydra = b"".join(chunk(name, np.array(rows, sf.TABLES[name]).tobytes()) for name, rows in tables.items())
    body = b"sfbk" + chunk(b"LIST", b"INFO" + chunk(b"ifil", b"\x02\0\x01\0"))
    body += chunk(b"LIST", b"sdta" + chunk(b"smpl", sine.tobytes())) + chunk(b"LIST", b"pdta" + hydra)
    path.write_bytes(chunk(b"RIFF", body))
    return path


def test_units_are_the_specification_s(tmp_path: Path) -> None:
    """Timecents, centibels, cents and pan come out as seconds, dB, cents and -1 to 1 (SoundFont 2.04, 8.1.3)."""
    zone = [
        (sf.KEYS, 40 | 80 << 8),
        (sf.ATTACK, -7973),
        (sf.DECAY, 1200),
        (sf.SUSTAIN, 200),
        (sf.RELEASE, -1200),
        (sf.PAN, -250),
        (sf.FINE_TUNE, -30),
        (sf.COARSE_TUNE, 1),
        (sf.ATTENUATION, 100),
        (sf.LOOPS, 1),
    ]
    (region,) = read_soundfont(write_font(tmp_path / "a.sf2", [zone])).regions
    assert region.keys == (40, 80)
    assert region.velocities == (0, 127)
    assert region.envelope.attack_sec == pytest.approx(0.01, abs=1e-5)
    assert (region.envelope.decay_sec, region.envelope.sustain_db, region.envelope.release_sec) == (
        2,
        20,
        0.5,
    )
    assert (region.pan, region.tune_cents, region.attenuation_db) == (-0.5, 70, 4)
    assert (region.root_key, region.loop_start, region.loop_end, region.loops) == (69, 500, 1500, 1)


def test_preset_generators_add_and_narrow(tmp_path: Path) -> None:
    """What the preset says is added to what the instrument says; ranges are narrowed (SoundFont 2.04, 9.4)."""
    preset = ((sf.KEYS, 60 | 127 << 8), (sf.FINE_TUNE, 5))
    (region,) = read_soundfont(
        write_font(tmp_path / "a.sf2", [[(sf.KEYS, 0 | 70 << 8), (sf.FINE_TUNE, 7)]], preset)
    ).regions
    assert region.keys == (60, 70)
    assert region.tune_cents == 12


@pytest.mark.parametrize("pitch", [45, 57, 69, 74, 93])
def test_a_sine_is_transposed_in_tune(tmp_path: Path, pitch: int) -> None:
    """A looped sine played on other keys stays pure to 60 dB and within a cent of equal temperament."""
    font = read_soundfont(write_font(tmp_path / "a.sf2", [[(sf.LOOPS, 1)]]))
    sound = play_note(Instrument(font), pitch, sec=1.0)[0]
    assert find_cents(sound, pitch) == pytest.approx(0, abs=1)
    spectrum = np.abs(np.fft.rfft(sound * np.blackman(len(sound)))) ** 2
    peak = int(spectrum.argmax())
    spectrum[max(0, peak - 8) : peak + 9], total = 0, spectrum.sum()
    assert spectrum.sum() < total * 1e-6


def test_velocity_layers_are_used_as_recorded(tmp_path: Path) -> None:
    """A key has the region of its velocity, and a font with one sample for all is darkened for soft strokes."""
    soft = [(sf.VELOCITIES, 0 | 63 << 8), (sf.PAN, -500)]
    hard = [(sf.VELOCITIES, 64 | 127 << 8), (sf.PAN, 500)]
    piano = Instrument(read_soundfont(write_font(tmp_path / "a.sf2", [soft, hard])))
    assert [piano.regions(60, v)[0].pan for v in (63, 64)] == [-1, 1]
    assert piano.brightness(60, 30) < piano.brightness(60, 100)


def test_a_user_s_font_is_played(tmp_path: Path) -> None:
    """--soundfont's file is what sounds."""
    font = write_font(tmp_path / "a.sf2", [[(sf.LOOPS, 1)]])
    part = make_part(note(0, 1, 60))
    own, ours = (format_sound(part, soundfont=path) for path in (font, None))
    assert own != ours
    assert len(own) == len(ours)


def test_a_wrong_file_is_refused(tmp_path: Path) -> None:
    """Another kind of file, an empty one and a missing one are refused with the path and a remedy."""
    text, empty = tmp_path / "a.txt", tmp_path / "b.sf2"
    text.write_text("not a font, but long enough to be one")
    empty.write_bytes(b"")
    for path, words in (
        (text, "expected a SoundFont"),
        (empty, "cannot be read"),
        (tmp_path / "no", "cannot be read"),
    ):
        with pytest.raises(HandgrooveError) as caught:
            read_soundfont(path)
        assert words in str(caught.value)
        assert str(path) in str(caught.value)


@pytest.mark.parametrize("share", [0.002, 0.3, 0.9, 0.97, 0.999])
def test_a_cut_off_file_is_refused(tmp_path: Path, share: float) -> None:
    """A font cut off anywhere is called damaged and never a crash."""
    path = write_font(tmp_path / "a.sf2", [[(sf.LOOPS, 1)]])
    data = path.read_bytes()
    path.write_bytes(data[: max(14, int(len(data) * share))])
    with pytest.raises(HandgrooveError, match="damaged"):
        read_soundfont(path)


def test_tables_that_point_outside_are_refused(tmp_path: Path) -> None:
    """A font whose instrument or sample number does not exist is called damaged."""
    path = write_font(tmp_path / "a.sf2", [[(sf.LOOPS, 1)]])
    data = path.read_bytes()
    at = data.index(b"pgen") + 8
    path.write_bytes(data[: at + 2] + b"\x63\0" + data[at + 4 :])
    with pytest.raises(HandgrooveError, match="damaged"):
        read_soundfont(path)


def test_missing_extra_names_the_remedy(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the library for Ogg Vorbis the error says what to install."""
    real = builtins.__import__

    def without(name: str, *args: Any, **kwargs: Any) -> Any:
        if name == "miniaudio":
            raise ImportError(name)
        return real(name, *args, **kwargs)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(HandgrooveError, match=r"pip install '\.\[sound\]'"):
        format_sound(make_part(note(0, 1, 60)))


def test_the_piano_is_small_and_licensed() -> None:
    """The piano is under 1.5 MB, covers 88 keys in stereo, and its licence lies beside it."""
    assert PIANO.stat().st_size < 1.5e6
    regions = read_soundfont(PIANO).regions
    assert all(sorted(r.pan for r in regions if r.holds(key, 64)) == [-1, 1] for key in range(21, 109))
    licence = (PIANO.parent / "piano-licence.txt").read_text()
    assert "Frank Wen" in licence
    assert "Permission is hereby granted, free of charge" in licence


def test_dampers_are_a_grand_s() -> None:
    """Damping is quicker the higher the key, up to where there are no dampers."""
    times = [damping_sec(key) for key in range(21, 91)]
    assert times == sorted(times, reverse=True)
    assert damping_sec(91) > 10 * damping_sec(90)
