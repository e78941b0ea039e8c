"""MIDI messages as plain tuples of bytes, the way that ports carry them.

Source: MIDI 1.0 Detailed Specification 4.2.1 (MIDI Manufacturers Association, 1996), pages cited beside the
numbers. Channels run from 0 to 15 here and from 1 to 16 wherever a musician reads them.
"""

from __future__ import annotations

Message = tuple[int, ...]

NOTE_OFF = 0x80
NOTE_ON = 0x90
POLY_PRESSURE = 0xA0
CONTROL = 0xB0
PROGRAM = 0xC0
PRESSURE = 0xD0
BEND = 0xE0
SYSEX = 0xF0
SONG_POSITION = 0xF2
CLOCK = 0xF8
START = 0xFA
CONTINUE = 0xFB
STOP = 0xFC
ACTIVE_SENSING = 0xFE

SUSTAIN = 64  # 0 to 63 is up, 64 to 127 down
SOSTENUTO = 66
SOFT = 67
PEDALS = (SUSTAIN, SOSTENUTO, SOFT)
ALL_SOUND_OFF = 120
ALL_NOTES_OFF = 123

CLOCKS_PER_QUARTER = 24  # page 30
CLOCKS_PER_MIDI_BEAT = 6  # page 27: song position counts sixteenths
SENSING_LOST_SEC = 0.33  # page 32: judge the line lost after more than 330 ms of silence

# How many data bytes follow each status (page 100 and following, table I and II); sysex has any number.
_DATA_BYTES = {NOTE_OFF: 2, NOTE_ON: 2, POLY_PRESSURE: 2, CONTROL: 2, PROGRAM: 1, PRESSURE: 1, BEND: 2}
_SYSTEM_DATA_BYTES = {0xF1: 1, SONG_POSITION: 2, 0xF3: 1, 0xF6: 0}


def note_on(channel: int, pitch: int, velocity: int) -> Message:
    """Return a note-on for *channel* (0 to 15)."""
    return (NOTE_ON | channel, pitch, velocity)


def note_off(channel: int, pitch: int) -> Message:
    """Return a note-off for *channel* (0 to 15)."""
    return (NOTE_OFF | channel, pitch, 0)


def control(channel: int, number: int, value: int) -> Message:
    """Return a control change for *channel* (0 to 15)."""
    return (CONTROL | channel, number, value)


def is_note_on(message: Message) -> bool:
    """Return whether *message* begins a note (velocity 0 does not: page 5)."""
    return message[0] & 0xF0 == NOTE_ON and message[2] > 0


def is_note_off(message: Message) -> bool:
    """Return whether *message* ends a note."""
    kind = message[0] & 0xF0
    return kind == NOTE_OFF or (kind == NOTE_ON and message[2] == 0)


def is_whole(message: Message) -> bool:
    """Return whether *message* is one complete, lawful message; everything else is ignored."""
    if not message:
        return False
    status = message[0]
    if not 0x80 <= status <= 0xFF:
        return False
    if status == SYSEX:
        return len(message) >= 2 and message[-1] == 0xF7
    if status >= CLOCK:
        return len(message) == 1
    size = _SYSTEM_DATA_BYTES.get(status) if status > SYSEX else _DATA_BYTES[status & 0xF0]
    return size is not None and len(message) == size + 1 and all(0 <= byte < 0x80 for byte in message[1:])
