"""The tracks of a Standard MIDI File, message by message: notes read here, which is quick, all else by the library.

A data byte over 127 counts as 127, since some programs write such velocities. Source of the format: MIDI Manufacturers
Association, *Standard MIDI Files 1.0*.
"""

from __future__ import annotations

from dataclasses import dataclass
from struct import unpack_from
from typing import Any

NOTE_OFF, NOTE_ON, SYSEX, ESCAPE, META = 0x80, 0x90, 0xF0, 0xF7, 0xFF
LONGEST = 1_000_000  # bytes of one message, as in the library


class NoteMessage:
    """A key struck or let go on *channel* (from 0), *time* ticks of the file after the message before."""

    __slots__ = ("channel", "note", "time", "type", "velocity")
    is_meta = False

    def __init__(self, kind: str, channel: int, note: int, velocity: int, time: int) -> None:
        self.type, self.channel, self.note, self.velocity, self.time = kind, channel, note, velocity, time


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
        if kind in (NOTE_ON, NOTE_OFF):
            note, velocity = data[at], data[at + 1]
            at += 2
            name = "note_on" if kind == NOTE_ON else "note_off"
            messages.append(NoteMessage(name, status & 15, min(note, 127), min(velocity, 127), time))
        else:
            message, at = _read_other(data, at, status, time)
            messages.append(message)
    if at > end:
        raise EOFError
    return messages


def _read_other(data: bytes, at: int, status: int, time: int) -> tuple[Any, int]:
    """Return the message at *at*, not a note, and where the next begins."""
    import mido
    from mido.messages.specs import SPEC_BY_STATUS
    from mido.midifiles.meta import build_meta_message

    if status in (META, SYSEX, ESCAPE):
        kind = data[at]
        size, start = _read_number(data, at + (status == META))
        if size > LONGEST:
            raise ValueError(f"a message of {size} bytes")
        if start + size > len(data):
            raise EOFError
        content = list(data[start : start + size])
        message = (
            build_meta_message(kind, content, time) if status == META else mido.Message("sysex", time=time)
        )
        return message, start + size
    if status not in SPEC_BY_STATUS:
        raise ValueError(f"undefined status byte 0x{status:02x}")
    after = at + SPEC_BY_STATUS[status]["length"] - 1
    if after > len(data):
        raise EOFError
    content = [min(byte, 127) for byte in data[at:after]]
    return mido.Message.from_bytes([status, *content], time=time), after


def _read_number(data: bytes, at: int) -> tuple[int, int]:
    """Return the variable-length number at *at*, and where it ends."""
    number = 0
    while True:
        byte = data[at]
        number, at = number << 7 | byte & 0x7F, at + 1
        if byte < 0x80:
            return number, at
