"""The piano played live: MIDI messages in, blocks of frames out, without device and without clock.

All voices are reckoned together, as rows of one table, because a few numpy calls on a table of forty rows cost little
more than on one row. A message takes effect at its own frame within the next block, so that the delay is constant.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from handgroove.errors import HandgrooveError, Problem
from handgroove.output.sound.instrument import Instrument, gain_of
from handgroove.output.sound.mix import CEILING, PIANO_GAIN, pan_gains
from handgroove.output.sound.soundfont import Frames, Region
from handgroove.output.sound.source import RATE, interpolate

VOICES = 96  # rows: a stereo piano uses two for each key
MOST_FRAMES = 60_000_000  # of samples to hold ready in memory: 0.7 GB
_SILENT_DB = -75.0
_NEVER = np.int64(1) << 60

_ROW = np.dtype(
    [
        ("key", "i4"),  # -1 where the row is free
        ("position", "f8"),  # in the sample's frames; below 0 before it starts
        ("step", "f8"),
        ("base", "i8"),  # where the sample starts in the bank
        ("loop_start", "f8"),
        ("loop_end", "f8"),
        ("length", "f8"),
        ("loops", "?"),
        ("full", "f4"),  # gains of the full sample and its dark twin
        ("dark", "f4"),
        ("left", "f4"),
        ("right", "f4"),
        ("age", "i8"),  # frames since it was struck; below 0 before
        ("let_go", "i8"),  # the age at which the damper fell
        ("attack", "f8"),  # frames
        ("hold", "f8"),
        ("fall", "f8"),  # dB a frame
        ("sustain", "f8"),  # dB
        ("damp", "f8"),  # dB a frame
    ]
)


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a region's sample lies in the bank."""

    base: int
    length: int
    loop: tuple[int, int] | None
    rate: int


class Sampler:
    """Plays an instrument. ``send`` takes messages, ``render`` gives what sounds next."""

    def __init__(self, instrument: Instrument) -> None:
        self.instrument = instrument
        self._places, self._full, self._dark = _make_bank(instrument)
        self._rows = np.zeros(VOICES, dtype=_ROW)
        self._rows["key"] = -1
        self._down: set[int] = set()
        self._kept: set[int] = set()
        self._pedal = False
        self._gain = 1.0

    @property
    def sounding(self) -> frozenset[int]:
        """Return the keys that sound, whether held, kept by the pedal or dying away."""
        return frozenset(self._rows["key"][self._rows["key"] >= 0].tolist())

    def send(self, message: Sequence[int], offset: int = 0) -> None:
        """Take one MIDI message, to act *offset* frames into the next block. What a piano has no use for is ignored."""
        kind = message[0] & 0xF0
        if len(message) < 3 or message[0] & 0x0F == 9:  # channel 10 is the drums'
            return
        number, value = message[1], message[2]
        if kind == 0x90 and value > 0:
            self._strike(number, value, offset)
        elif kind in (0x80, 0x90):
            self._let_go(number, offset)
        elif kind == 0xB0 and number == 64:
            self._move_pedal(value >= 64, offset)
        elif kind == 0xB0 and number in (120, 123):
            self._down.clear()
            self._move_pedal(False, offset)
            for key in self.sounding:
                self._damp(key, offset)

    def render(self, count: int) -> Frames:
        """Return the next *count* frames, (frame, side), -1 to 1."""
        rows = self._rows[self._rows["key"] >= 0]
        out = np.zeros((count, 2), dtype=np.float32)
        if len(rows):
            wave = self._waves(rows, count) * _levels(rows, count)
            out[:, 0] = rows["left"] @ wave
            out[:, 1] = rows["right"] @ wave
            self._advance(count)
        self._limit(out)
        return out

    def _waves(self, rows: npt.NDArray[np.void], count: int) -> Frames:
        position: npt.NDArray[np.float64] = rows["position"][:, None] + rows["step"][:, None] * np.arange(
            count
        )
        start, end = rows["loop_start"][:, None], rows["loop_end"][:, None]
        late = rows["loops"][:, None] & (position >= end)
        position = np.where(late, start + (position - start) % (end - start), position).astype(np.float64)
        silent = (position < 0) | (position > rows["length"][:, None])
        position[silent] = 0
        base = rows["base"][:, None]
        wave: Frames = rows["full"][:, None] * interpolate(self._full, 2 * position, 2 * base)
        wave += rows["dark"][:, None] * interpolate(self._dark, position, base)
        wave[silent] = 0
        return wave

    def _advance(self, count: int) -> None:
        rows = self._rows
        rows["position"] += rows["step"] * count
        rows["age"] += count
        level = _level_db(rows, rows["age"][:, None])[:, 0]
        over = ~rows["loops"] & (rows["position"] >= rows["length"])
        rows["key"][(level < _SILENT_DB) | over] = -1

    def _limit(self, out: Frames) -> None:
        """Turn the block down where it would pass the ceiling; there is no looking ahead, so its start may be cut."""
        peak = float(np.abs(out).max()) if len(out) else 0.0
        wanted = min(1.0, CEILING / max(peak, 1e-9))
        gain = min(wanted, self._gain + (1 - self._gain) * 0.05)
        if gain < 1 or self._gain < 1:
            ramp = np.full(len(out), gain, dtype=np.float32)
            short = min(32, len(out))
            ramp[:short] = np.linspace(self._gain, gain, short)
            out *= ramp[:, None]
            np.clip(out, -CEILING, CEILING, out=out)
        self._gain = gain

    def _strike(self, key: int, velocity: int, offset: int) -> None:
        self._damp(key, offset)
        self._down.add(key)
        self._kept.discard(key)
        for region in self.instrument.regions(key, velocity):
            row = self._free_row()
            self._rows[row] = self._new_row(region, key, velocity, offset)

    def _new_row(self, region: Region, key: int, velocity: int, offset: int) -> npt.NDArray[np.void]:
        place, envelope = self._places[region], region.envelope
        row = np.zeros((), dtype=_ROW)
        bright = self.instrument.brightness(key, velocity)
        gain = PIANO_GAIN * gain_of(velocity) * 10 ** (-region.attenuation_db / 20)
        row["key"], row["age"], row["let_go"] = key, -offset, _NEVER
        row["step"] = self.instrument.step(region, key)
        row["position"] = -offset * row["step"]
        row["base"], row["length"], row["loops"] = place.base, place.length - 1, place.loop is not None
        row["loop_start"], row["loop_end"] = place.loop or (0, 1)
        row["full"], row["dark"] = gain * bright, gain * (1 - bright)
        row["left"], row["right"] = pan_gains(region.pan)
        row["attack"] = (envelope.delay_sec + envelope.attack_sec) * RATE
        row["hold"] = row["attack"] + envelope.hold_sec * RATE
        row["fall"] = 100 / max(1.0, envelope.decay_sec * RATE)
        row["sustain"] = envelope.sustain_db
        row["damp"] = 100 / (max(0.02, envelope.release_sec) * RATE)
        return row

    def _free_row(self) -> int:
        """Return a free row, or else the one that has been damped longest, or else the oldest."""
        rows = self._rows
        free = np.flatnonzero(rows["key"] < 0)
        if len(free):
            return int(free[0])
        damped = rows["age"] - rows["let_go"]
        return int(np.argmax(damped if damped.max() >= 0 else rows["age"]))

    def _let_go(self, key: int, offset: int) -> None:
        self._down.discard(key)
        if self._pedal:
            self._kept.add(key)
        else:
            self._damp(key, offset)

    def _move_pedal(self, down: bool, offset: int) -> None:
        self._pedal = down
        if not down:
            for key in self._kept - self._down:
                self._damp(key, offset)
            self._kept.clear()

    def _damp(self, key: int, offset: int) -> None:
        mine = (self._rows["key"] == key) & (self._rows["let_go"] == _NEVER)
        self._rows["let_go"][mine] = self._rows["age"][mine] + offset


def _levels(rows: npt.NDArray[np.void], count: int) -> Frames:
    """Return each row's level through a block: right at every sixteenth frame, straight between."""
    coarse = np.arange(0, count + 16, 16)
    age = rows["age"][:, None] + coarse
    level = np.power(10.0, _level_db(rows, age) / 20)
    attack = rows["attack"][:, None]
    level *= np.clip(np.where(attack > 0, age / np.maximum(attack, 1), 1), 0, 1)
    step = np.diff(level, axis=1)[:, :, None] / 16
    fine = level[:, :-1, None] + step * np.arange(16)
    return fine.reshape(len(rows), -1)[:, :count].astype(np.float32)


def _level_db(rows: npt.NDArray[np.void], age: npt.NDArray[np.int64]) -> npt.NDArray[np.float64]:
    fallen = np.clip((age - rows["hold"][:, None]) * rows["fall"][:, None], 0, rows["sustain"][:, None])
    damped = np.maximum(0, age - rows["let_go"][:, None]) * rows["damp"][:, None]
    return np.asarray(-(fallen + damped))


def _make_bank(instrument: Instrument) -> tuple[dict[Region, _Place], Frames, Frames]:
    """Return where each region's sample lies, and all samples one behind another, full and dark."""
    regions = {region for region in instrument.font.regions if region.keys[1] >= 21 and region.keys[0] <= 108}
    places: dict[Region, _Place] = {}
    full: list[Frames] = []
    dark: list[Frames] = []
    base = 0
    for region in sorted(regions, key=lambda r: (r.sample, r.keys)):
        source = instrument.source(region)
        places[region] = _Place(base, source.length, source.loop, source.rate)
        # A full sample of 2n + 4 frames and a dark one of n + 4: pad, so that one base serves both.
        full.append(np.pad(source.full, (0, 2 * (len(source.dark)) - len(source.full))))
        dark.append(source.dark)
        base += len(source.dark)
        if base > MOST_FRAMES:
            remedy = "play it through a port with another program, or leave --soundfont out"
            raise HandgrooveError(
                Problem(str(instrument.font.path), "too large to be played live", remedy=remedy)
            )
    return places, np.concatenate(full), np.concatenate(dark)
