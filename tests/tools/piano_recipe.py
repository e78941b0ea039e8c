"""The recipe of the piano: cut one grand piano out of a large SoundFont into a small SF3 file.

    apt-get download fluid-soundfont-gm            # Debian, version 3.1; Fluid R3 by Frank Wen, MIT licence
    dpkg-deb -x fluid-soundfont-gm_*.deb fluid
    pip install soundfile==0.14.0                  # libsndfile 1.2.2 and libvorbis, needed for this only
    python -m tests.tools.piano_recipe fluid/usr/share/sounds/sf2/FluidR3_GM.sf2

The same file comes out each time, byte for byte; *SHA256* is its digest. What is kept: the samples of the preset at
bank 0, program 0, their keys, roots, loops, pans and decays. What is changed: samples become Ogg Vorbis; attacks are
the samples' own (the font softened them by 8 ms); keys are damped as a grand's are, quickly in the middle, slowly in
the bass, and not at all above F sharp 6, where a grand has no dampers; silence before an attack is cut; right sides
that cancel their left ones are turned over; zones are tuned and levelled by *CORRECTIONS*.
"""

from __future__ import annotations

import io
import math
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np

from handgroove.output.sound import soundfont as sf
from handgroove.output.sound.instrument import PIANO
from handgroove.output.sound.soundfont import Frames, Region, SoundFont, read_soundfont

SHA256 = "0b878a2fb5b4cfb77d3f6286668f6a347c9e095824cc2ac26dc3100d614e10e7"
QUALITY = 0.45  # of libsndfile's compression level: 0 is best and largest, 1 is smallest
UNDAMPED_KEY = 90
ROOM_DB = 2.5  # every zone is turned down by this, because a font cannot turn one up
_NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")

# Lowest key of a zone -> (cents to add, dB to add). Measured with measure.py on the uncorrected cut: the pitch of its
# middle key, whose target is a piano's usual stretch (3 cents low in the bass, 8 high at the top), and the level of its
# first 0.3 seconds against a parabola through all zones, of whose distance two thirds are taken back.
CORRECTIONS: dict[int, tuple[int, float]] = {
    0: (2, -0.5),
    27: (4, 0.0),
    31: (-1, 2.0),
    35: (-6, 0.5),
    39: (6, -0.5),
    43: (2, -1.0),
    51: (2, -0.5),
    59: (0, -1.0),
    63: (2, 1.5),
    67: (0, -1.0),
    71: (0, -0.5),
    75: (0, 2.0),
    79: (0, 1.5),
    85: (0, -1.0),
    91: (-2, -1.5),
    95: (-7, 0.5),
    100: (-14, 0.5),
    105: (-19, -0.5),
}


def cut_piano(font: SoundFont) -> bytes:
    """Return an SF3 file with *font*'s piano alone, one zone for each stretch of keys and channel."""
    regions = sorted(
        {(r.keys, r.pan, r.sample): r for r in font.regions}.values(), key=lambda r: (r.keys, r.pan)
    )
    heads_cut = _silent_heads(font, regions)
    turned = _turned(font, regions)
    streams = [
        compress(frames[heads_cut[region.keys] :] * (-1 if region.sample in turned else 1), rate)
        for region in regions
        for frames, rate in [font.sample(region.sample)]
    ]
    starts = np.cumsum([0, *map(len, streams)]).tolist()
    zones = [_zone(region, index) for index, region in enumerate(regions)]
    shared = [(sf.ATTACK, -12000), (sf.SUSTAIN, 1000), (sf.LOOPS, 1)]
    every = [shared, *zones]
    gen_starts = np.cumsum([0, *map(len, every)]).tolist()
    heads = [
        _head(font, r, a, b, heads_cut[r.keys]) for r, a, b in zip(regions, starts, starts[1:], strict=False)
    ]
    tables: dict[bytes, list[tuple[Any, ...]]] = {
        b"phdr": [("Grand piano", 0, 0, 0, 0, 0, 0), ("EOP", 0, 0, 1, 0, 0, 0)],
        b"pbag": [(0, 0), (1, 0)],
        b"pmod": [(0, 0, 0, 0, 0)],
        b"pgen": [(sf.INSTRUMENT, 0), (0, 0)],
        b"inst": [("Grand piano", 0), ("EOI", len(every))],
        b"ibag": [(at, 0) for at in gen_starts],
        b"imod": [(0, 0, 0, 0, 0)],
        b"igen": [(oper, amount & 0xFFFF) for zone in every for oper, amount in zone] + [(0, 0)],
        b"shdr": [*heads, ("EOS", 0, 0, 0, 0, 0, 0, 0, 0, 0)],
    }
    info = {
        b"isng": b"any",
        b"INAM": b"Grand piano, cut from Fluid R3",
        b"ICOP": b"Frank Wen 2000-2002, 2008",
        b"ICMT": b"MIT licence, see piano-licence.txt",
    }
    # Text ends in one or two zeros, so that its size is even (section 5 of the specification).
    version = (b"ifil", b"\x03\0\x01\0")
    body = _list(b"INFO", [version, *((key, text + bytes(2 - len(text) % 2)) for key, text in info.items())])
    body += _list(b"sdta", [(b"smpl", b"".join(streams))])
    body += _list(
        b"pdta", [(name, np.array(rows, sf.TABLES[name]).tobytes()) for name, rows in tables.items()]
    )
    return b"RIFF" + (len(body) + 4).to_bytes(4, "little") + b"sfbk" + body


def damping_sec(key: int) -> float:
    """Return how long a string of *key* takes to fall by 100 dB under the damper (common practice, no source)."""
    if key > UNDAMPED_KEY:
        return 6.0
    return max(0.35, 1.2 * 2 ** ((26 - key) / 30))


def _zone(region: Region, index: int) -> list[tuple[int, int]]:
    cents, gain_db = CORRECTIONS.get(region.keys[0], (0, 0.0))
    envelope = region.envelope
    release = damping_sec(sum(region.keys) // 2 if region.keys[0] else region.keys[1])
    return [
        (sf.KEYS, region.keys[0] | region.keys[1] << 8),
        (sf.PAN, round(500 * region.pan)),
        (sf.HOLD, _timecents(envelope.hold_sec)),
        (sf.DECAY, _timecents(envelope.decay_sec)),
        (sf.RELEASE, _timecents(release)),
        (sf.ATTENUATION, round(10 * (ROOM_DB - gain_db) / 0.4)),
        (sf.FINE_TUNE, cents),
        (sf.ROOT, region.root_key),
        (sf.SAMPLE, index),
    ]


def _silent_heads(font: SoundFont, regions: list[Region]) -> dict[tuple[int, int], int]:
    """Return for each zone the frames before its strings sound (a hundredth of the peak), the same for both sides."""
    found: dict[tuple[int, int], int] = {}
    for region in regions:
        level = np.abs(font.sample(region.sample)[0])
        silent = max(0, int(np.argmax(level > 0.01 * level.max())) - 4)
        found[region.keys] = min(silent, found.get(region.keys, silent))
    return found


def _turned(font: SoundFont, regions: list[Region]) -> set[int]:
    """Return the right samples that work against their left ones and are turned over, so that mono loses nothing."""
    found = set()
    for left, right in zip(regions[::2], regions[1::2], strict=True):
        pair = [font.sample(region.sample)[0][:32_000] for region in (left, right)]
        if np.dot(*pair) < 0:
            found.add(right.sample)
    return found


def _head(font: SoundFont, region: Region, start: int, end: int, cut: int) -> tuple[Any, ...]:
    old = font.tables[b"shdr"][region.sample]
    side = "left" if region.pan < 0 else "right"
    name = f"{_NAMES[region.root_key % 12]}{region.root_key // 12 - 1} {side}"
    loop = int(old["loop_start"] - old["start"]) - cut, int(old["loop_end"] - old["start"]) - cut
    return (name, start, end, *loop, int(old["rate"]), region.root_key, 0, 0, 1 | sf.VORBIS)


def _timecents(sec: float) -> int:
    return -12000 if sec <= 0 else round(1200 * math.log2(sec))


def compress(frames: Frames, rate: int) -> bytes:
    """Return *frames* as an Ogg Vorbis stream that is the same each time: its serial number is 0."""
    import soundfile

    file = io.BytesIO()
    soundfile.write(file, frames, rate, format="OGG", subtype="VORBIS", compression_level=QUALITY)
    return b"".join(_pages(file.getvalue()))


def _pages(stream: bytes) -> Iterable[bytes]:
    """Yield the pages of an Ogg *stream* with serial number 0 and its checksum put right (RFC 3533, section 6)."""
    at = 0
    while at < len(stream):
        lacing = stream[at + 27 : at + 27 + stream[at + 26]]
        size = 27 + len(lacing) + sum(lacing)
        page = bytearray(stream[at : at + size])
        page[14:18] = bytes(4)
        page[22:26] = bytes(4)
        page[22:26] = _checksum(page).to_bytes(4, "little")
        yield bytes(page)
        at += size


def _checksum(page: bytes | bytearray) -> int:
    value = 0
    for byte in page:
        value ^= byte << 24
        for _ in range(8):
            value = (value << 1 ^ (0x04C11DB7 if value & 0x80000000 else 0)) & 0xFFFFFFFF
    return value


def _list(name: bytes, chunks: Iterable[tuple[bytes, bytes]]) -> bytes:
    body = name
    for key, value in chunks:
        body += key + len(value).to_bytes(4, "little") + value + bytes(len(value) % 2)
    return b"LIST" + len(body).to_bytes(4, "little") + body


if __name__ == "__main__":
    PIANO.write_bytes(cut_piano(read_soundfont(Path(sys.argv[1]))))
    sys.stdout.write(f"{PIANO}: {PIANO.stat().st_size / 1e6:.2f} MB\n")
