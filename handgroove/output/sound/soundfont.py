"""SoundFonts: read from SF2 or SF3 files into regions (which sample sounds for which key, and how).

Source: *SoundFont Technical Specification*, version 2.04 (2006): chunks of
section 4 to 7, generators and their units of section 8.1.2. SF3 is the same file with each sample as an Ogg Vorbis
stream: the sample's start and end count bytes, and bit 4 of its type is set. Modulators, 24-bit extensions and the
low-frequency oscillators are not read; a piano has no use for them. Times are in seconds, pitches MIDI note numbers.
"""

from __future__ import annotations

import mmap
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from handgroove.errors import HandgrooveError, Problem

Frames = npt.NDArray[np.float32]

# Section 7: the records of the "hydra", one table each.
TABLES: dict[bytes, np.dtype[Any]] = {
    name: np.dtype(fields)
    for name, fields in {
        b"phdr": [
            ("name", "S20"),
            ("program", "<u2"),
            ("bank", "<u2"),
            ("bag", "<u2"),
            ("library", "<u4"),
            ("genre", "<u4"),
            ("morphology", "<u4"),
        ],
        b"pbag": [("gen", "<u2"), ("mod", "<u2")],
        b"pmod": [("source", "<u2"), ("to", "<u2"), ("amount", "<i2"), ("by", "<u2"), ("shape", "<u2")],
        b"pgen": [("oper", "<u2"), ("amount", "<u2")],
        b"inst": [("name", "S20"), ("bag", "<u2")],
        b"ibag": [("gen", "<u2"), ("mod", "<u2")],
        b"imod": [("source", "<u2"), ("to", "<u2"), ("amount", "<i2"), ("by", "<u2"), ("shape", "<u2")],
        b"igen": [("oper", "<u2"), ("amount", "<u2")],
        b"shdr": [
            ("name", "S20"),
            ("start", "<u4"),
            ("end", "<u4"),
            ("loop_start", "<u4"),
            ("loop_end", "<u4"),
            ("rate", "<u4"),
            ("pitch", "u1"),
            ("correction", "i1"),
            ("link", "<u2"),
            ("kind", "<u2"),
        ],
    }.items()
}

VORBIS = 0x10

# Section 8.1.2: the numbers of the generators that are read, by our words for them.
START, END, LOOP_START, LOOP_END, START_COARSE = 0, 1, 2, 3, 4
CUTOFF, END_COARSE, PAN = 8, 12, 17
DELAY, ATTACK, HOLD, DECAY, SUSTAIN, RELEASE, KEY_TO_HOLD, KEY_TO_DECAY = 33, 34, 35, 36, 37, 38, 39, 40
INSTRUMENT, KEYS, VELOCITIES, LOOP_START_COARSE, FIXED_KEY, ATTENUATION = 41, 43, 44, 45, 46, 48
LOOP_END_COARSE, COARSE_TUNE, FINE_TUNE, SAMPLE, LOOPS, SCALE, ROOT = 50, 51, 52, 53, 54, 56, 58
_DEFAULTS = {CUTOFF: 13500, SCALE: 100, ROOT: -1, FIXED_KEY: -1} | dict.fromkeys(
    (DELAY, ATTACK, HOLD, DECAY, RELEASE), -12000
)
_RANGES = (KEYS, VELOCITIES)
_PRESET_ONLY_SAMPLE = (START, END, LOOP_START, LOOP_END, START_COARSE, END_COARSE, LOOP_START_COARSE)
_NOT_ADDED = (*_PRESET_ONLY_SAMPLE, LOOP_END_COARSE, FIXED_KEY, SAMPLE, LOOPS, ROOT, INSTRUMENT, *_RANGES)


@dataclass(frozen=True, slots=True)
class Envelope:
    """How a region's loudness runs: seconds, and *sustain_db* below the peak.

    Decay and release are given as the specification has them: the time in which the level would fall by 100 dB.
    *key_to_hold* and *key_to_decay* shorten those times by so many timecents for each key above 60.
    """

    delay_sec: float
    attack_sec: float
    hold_sec: float
    decay_sec: float
    sustain_db: float
    release_sec: float
    key_to_hold: int = 0
    key_to_decay: int = 0


@dataclass(frozen=True, slots=True)
class Region:
    """One sample on a stretch of *keys* and *velocities* (both ends included), and how it sounds there.

    *start* to *loop_end* are frames within the sample. *pan* runs from -1 (left) to 1 (right). *loops* is 0 (no),
    1 (while it sounds) or 3 (while the key is held).
    """

    keys: tuple[int, int]
    velocities: tuple[int, int]
    sample: int
    root_key: int
    tune_cents: float
    scale_cents: int
    fixed_key: int
    pan: float
    attenuation_db: float
    cutoff_hz: float
    loops: int
    start: int
    end: int
    loop_start: int
    loop_end: int
    envelope: Envelope

    def holds(self, pitch: int, velocity: int) -> bool:
        """Return whether the region sounds for *pitch* at *velocity*."""
        low, high = self.keys
        soft, hard = self.velocities
        return low <= pitch <= high and soft <= velocity <= hard


def _timecents_to_sec(timecents: int) -> float:
    return 0.0 if timecents <= -12000 else float(2 ** (timecents / 1200))


def _envelope(gens: dict[int, int]) -> Envelope:
    delay, attack, hold, decay, release = (
        _timecents_to_sec(gens[stage]) for stage in (DELAY, ATTACK, HOLD, DECAY, RELEASE)
    )
    sustain_db = max(0, gens.get(SUSTAIN, 0)) / 10
    key_to_hold, key_to_decay = gens.get(KEY_TO_HOLD, 0), gens.get(KEY_TO_DECAY, 0)
    return Envelope(delay, attack, hold, decay, sustain_db, release, key_to_hold, key_to_decay)


def _signed(amount: int) -> int:
    return amount - 65536 if amount > 32767 else amount


@dataclass(frozen=True)
class SoundFont:
    """A SoundFont file in memory: the tables, and the samples as they are stored."""

    path: Path
    tables: dict[bytes, npt.NDArray[Any]]
    samples: memoryview

    @cached_property
    def regions(self) -> tuple[Region, ...]:
        """Return the regions of the piano: bank 0, program 0, or else the first preset there is."""
        headers = self.tables[b"phdr"][:-1]
        order = sorted(range(len(headers)), key=lambda i: (headers["bank"][i], headers["program"][i], i))
        wanted = [i for i in order if headers["bank"][i] == 0 and headers["program"][i] == 0] or order
        found: list[Region] = []
        preset_defaults, preset_zones = self._zones(b"phdr", b"pbag", b"pgen", wanted[0], INSTRUMENT)
        for zone in preset_zones:
            added = preset_defaults | zone
            defaults, zones = self._zones(b"inst", b"ibag", b"igen", added[INSTRUMENT], SAMPLE)
            found.extend(self._region(_DEFAULTS | defaults | inner, added) for inner in zones)
        return tuple(region for region in found if region.keys[0] <= region.keys[1])

    def _zones(
        self, heads: bytes, bags: bytes, gens: bytes, index: int, last: int
    ) -> tuple[dict[int, int], list[dict[int, int]]]:
        """Return the global zone's generators and each other zone's; a zone ends in the generator *last*."""
        bag, gen = self.tables[bags], self.tables[gens]
        head = self.tables[heads]["bag"]
        shared: dict[int, int] = {}
        zones: list[dict[int, int]] = []
        for number in range(int(head[index]), int(head[index + 1])):
            rows = gen[int(bag["gen"][number]) : int(bag["gen"][number + 1])]
            zone = {
                oper: amount if oper in _RANGES or oper == last else _signed(amount)
                for oper, amount in zip(rows["oper"].tolist(), rows["amount"].tolist(), strict=True)
            }
            if last in zone:
                zones.append(zone)
            elif not zones:
                shared = zone
        return shared, zones

    def _region(self, gens: dict[int, int], added: dict[int, int]) -> Region:
        total = dict(gens)
        for oper, amount in added.items():
            if oper not in _NOT_ADDED:
                total[oper] = total.get(oper, 0) + amount
        keys, velocities = (
            (max(g & 255 for g in pair), min(g >> 8 for g in pair))
            for pair in ((gens.get(k, 127 << 8), added.get(k, 127 << 8)) for k in _RANGES)
        )
        index = gens[SAMPLE]
        head = self.tables[b"shdr"][index]
        length = None if head["kind"] & VORBIS else int(head["end"]) - int(head["start"])
        base = 0 if length is None else int(head["start"])

        def at(fine: int, coarse: int) -> int:
            return gens.get(fine, 0) + 32768 * gens.get(coarse, 0)

        return Region(
            keys=keys,
            velocities=velocities,
            sample=index,
            root_key=gens[ROOT] if gens[ROOT] >= 0 else min(int(head["pitch"]), 127),
            tune_cents=100 * total.get(COARSE_TUNE, 0) + total.get(FINE_TUNE, 0) + int(head["correction"]),
            scale_cents=total[SCALE],
            fixed_key=gens[FIXED_KEY],
            pan=max(-1.0, min(1.0, total.get(PAN, 0) / 500)),
            # Fonts are made and played with attenuation at four tenths of what the specification says.
            attenuation_db=0.4 * max(0, total.get(ATTENUATION, 0)) / 10,
            cutoff_hz=float(8.176 * 2 ** (min(total[CUTOFF], 13500) / 1200)),
            loops=gens.get(LOOPS, 0) & 3,
            start=at(START, START_COARSE),
            end=-1 if length is None else length + at(END, END_COARSE),
            loop_start=int(head["loop_start"]) - base + at(LOOP_START, LOOP_START_COARSE),
            loop_end=int(head["loop_end"]) - base + at(LOOP_END, LOOP_END_COARSE),
            envelope=_envelope(total),
        )

    def sample(self, index: int) -> tuple[Frames, int]:
        """Return the frames of sample *index*, -1 to 1, and its rate in frames a second."""
        head = self.tables[b"shdr"][index]
        start, end, rate = int(head["start"]), int(head["end"]), int(head["rate"])
        if head["kind"] & VORBIS:
            miniaudio = import_miniaudio()
            try:
                decoded = miniaudio.vorbis_read(bytes(self.samples[start:end]))
            except miniaudio.DecodeError:
                raise _damaged(self.path, f"its sample {index} is not Ogg Vorbis") from None
            pcm = np.frombuffer(decoded.samples, dtype="<i2")[:: decoded.nchannels]
        else:
            pcm = np.frombuffer(self.samples[2 * start : 2 * end], dtype="<i2")
        return pcm.astype(np.float32) / np.float32(32768), rate


def import_miniaudio() -> Any:
    """Return the library that decodes Ogg Vorbis and plays through the machine's audio."""
    try:
        import miniaudio
    except ImportError:
        remedy = "in your copy of the repository: pip install '.[sound]'"
        raise HandgrooveError(Problem("", "sound needs a library that is not here", remedy=remedy)) from None
    return miniaudio


def read_soundfont(path: Path) -> SoundFont:
    """Read the SoundFont file (SF2 or SF3) at *path*."""
    try:
        # Mapped, because fonts of a gigabyte are usual and most of one is not used.
        with path.open("rb") as file:
            data = memoryview(mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "it is empty"
        remedy = (
            "name an SF2 or SF3 file, or leave --soundfont out to hear the piano that comes with Handgroove"
        )
        raise HandgrooveError(Problem(str(path), f"cannot be read: {reason}", remedy=remedy)) from None
    if bytes(data[:4]) != b"RIFF" or bytes(data[8:12]) != b"sfbk":
        remedy = "SFZ and other formats are not read; most have a converter to SF2"
        raise HandgrooveError(
            Problem(str(path), "expected a SoundFont (SF2 or SF3), got another kind of file", remedy=remedy)
        )
    try:
        parts = {name: body for _, lists in _chunks(data[12:]) for name, body in _chunks(lists[4:])}
    except EOFError:
        raise _damaged(path, "it is cut off") from None
    missing = [name.decode() for name in (b"smpl", *TABLES) if name not in parts]
    if missing:
        raise _damaged(path, f"it has no {', '.join(missing)}")
    tables = {}
    for name, dtype in TABLES.items():
        body = parts[name]
        tables[name] = np.frombuffer(body[: len(body) // dtype.itemsize * dtype.itemsize], dtype=dtype)
    font = SoundFont(path, tables, parts[b"smpl"])
    try:
        empty = not font.regions
    except (IndexError, KeyError):
        raise _damaged(path, "its tables point outside themselves") from None
    if empty:
        raise _damaged(path, "it has no instrument that sounds")
    return font


def _chunks(body: memoryview) -> list[tuple[bytes, memoryview]]:
    """Return the name and body of each RIFF chunk in *body*; EOFError where one goes on past the end."""
    found, at = [], 0
    while at + 8 <= len(body):
        size = int.from_bytes(body[at + 4 : at + 8], "little")
        if at + 8 + size > len(body):
            raise EOFError
        found.append((bytes(body[at : at + 4]), body[at + 8 : at + 8 + size]))
        at += 8 + size + size % 2
    return found


def _damaged(path: Path, text: str) -> HandgrooveError:
    return HandgrooveError(
        Problem(str(path), f"the SoundFont is damaged: {text}", remedy="get the file again")
    )
