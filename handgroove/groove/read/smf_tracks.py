"""The tracks of a Standard MIDI File, message by message: channel messages read here, for speed, meta by the library.

A data byte over 127 counts as 127, since some programs write such velocities. Source of the format: MIDI Manufacturers
Association, *Standard MIDI Files 1.0*.
"""

from __future__ import annotations

from dataclasses import dataclass
from struct import unpack_from
from typing import Any

SYSEX, ESCAPE, META = 0xF0, 0xF7, 0xFF
LONGEST = 1_000_000  # bytes of one message, as in the library
KINDS = {
    0x80: "note_off",
    0x90: "note_on",
    0xA0: "polytouch",
    0xB0: "control_change",
    0xC0: "program_change",
    0xD0: "aftertouch",
    0xE0: "pitchwheel",
}
ONE_BYTE = (0xC0, 0xD0)  # of data; the others have two


class ChannelMessage:
    """What *kind* of message comes on *channel* (from 0), *time* ticks of the file after the one before.

    *note* and *velocity* are its data bytes, whatever they mean to the kind.
    """

    __slots__ = ("channel", "note", "time", "type", "velocity")
    is_meta = False

    def __init__(self, kind: str, channel: int, note: int, velocity: int, time: int) -> None:
        self.type, self.channel, self.note, self.velocity, self.time = kind, channel, note, velocity, time

    @property
    def program(self) -> int:
        """Return the number of the sound that a program change asks for."""
        return self.note


@dataclass(frozen=True, slots=True)
class Smf:
    """A file's *tracks*, each its messages in order, and its division: *ticks_per_beat*, a quarter note's."""

    ticks_per_beat: int
    tracks: tuple[list[Any], ...]


def parse_tracks(data: bytes) -> Smf:
    """Return the tracks in *data*; raise EOFError where it ends too early, another error where it makes no sense."""
    from mido.midifiles.meta import meta_charset

    size, _, count, division = unpack_from(">4xLHHH", data)
    at, tracks = 8 + size, []
    with meta_charset("latin1"):
        for _ in range(count):
            if len(data) < at + 8:
                raise EOFError
            name, size = unpack_from(">4sL", data, at)
            if name != b"MTrk":
                raise ValueError("no MTrk header at the start of a track")
            try:
                tracks.append(_read_track(data, at + 8, at + 8 + size))
            except IndexError:
                raise EOFError from None
            at += 8 + size
    return Smf(division, tuple(tracks))


def _read_track(data: bytes, at: int, end: int) -> list[Any]:
    messages: list[Any] = []
    running = 0
    while at < end:
        time, at = data[at], at + 1
        if time > 127:
            time, at = _read_number(data, at - 1)
        status = data[at]
        if status > 127:
            at += 1
            running = running if status == META else status
        elif not running:
            raise ValueError("running status before any status")
        else:
            status = running
        kind = status & 0xF0
        if kind in ONE_BYTE:
            messages.append(ChannelMessage(KINDS[kind], status & 15, min(data[at], 127), 0, time))
            at += 1
        elif kind in KINDS:
            note, velocity = data[at], data[at + 1]
            at += 2
            if note > 127 or velocity > 127:
                note, velocity = min(note, 127), min(velocity, 127)
            messages.append(ChannelMessage(KINDS[kind], status & 15, note, velocity, time))
        elif status in (META, SYSEX, ESCAPE):
            message, at = _read_long(data, at, status == META, time)
            messages.append(message)
        else:
            raise ValueError(f"undefined status byte 0x{status:02x}")
    if at > end:
        raise EOFError
    return messages


def _read_long(data: bytes, at: int, is_meta: bool, time: int) -> tuple[Any, int]:
    """Return the meta or system exclusive message at *at* (the latter without content), and where the next begins."""
    import mido
    from mido.midifiles.meta import build_meta_message

    kind = data[at]
    size, start = _read_number(data, at + is_meta)
    if size > LONGEST:
        raise ValueError(f"a message of {size} bytes")
    if start + size > len(data):
        raise EOFError
    after = start + size
    if is_meta:
        return build_meta_message(kind, list(data[start:after]), time), after
    return mido.Message("sysex", time=time), after


def _read_number(data: bytes, at: int) -> tuple[int, int]:
    """Return the variable-length number at *at*, and where it ends."""
    number = 0
    while True:
        byte = data[at]
        number, at = number << 7 | byte & 0x7F, at + 1
        if byte < 0x80:
            return number, at
