"""The part as a Standard MIDI File, type 1: a conductor track, then the right hand and the left.

Channel 1 is the right hand, channel 2 the left; the pedal stands on both, since a piano has one. Note-offs are
written as such, before note-ons that fall together with them. Source: MIDI Manufacturers Association, *Standard MIDI
Files 1.0* and *MIDI 1.0 Detailed Specification* (controller 64: 0 up, 127 down).
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterable
from pathlib import Path
from struct import pack
from typing import TYPE_CHECKING

from handgroove.harmony.chord import Key
from handgroove.output.files import write_whole
from handgroove.part import Part
from handgroove.strike import Hand
from handgroove.timeline import TICKS_PER_QUARTER

if TYPE_CHECKING:
    from mido import MetaMessage

CHANNELS = {Hand.RIGHT: 1, Hand.LEFT: 2}
_TRACK_NAMES = {Hand.RIGHT: "Right hand", Hand.LEFT: "Left hand"}
_SUSTAIN = 64

# What falls on one tick comes in this order: what ends, then the pedal, then what begins.
_OFF, _PEDAL, _ON = 0, 1, 2
_RELEASE_VELOCITY = 64  # what the standard names for an instrument that does not sense it
Event = tuple[int, int, int, bytes]
"""Tick, rank and number (by which what falls together is put in order), and the message as a file has it."""


def _meta_text(text: str) -> str:
    """Return *text* as a MIDI file's Latin-1 can hold it."""
    return text.encode("latin-1", "replace").decode("latin-1")


def _signature(key: Key) -> str:
    """Return *key* as the library names key signatures (``C``, ``F#m``), or the nearest that has a signature."""
    name = str(key.tonic) + ("m" if key.minor else "")
    respelled = {
        "G#": "Ab",
        "D#": "Eb",
        "A#": "Bb",
        "Dbm": "C#m",
        "Gbm": "F#m",
        "Abm": "Abm",
        "Cbm": "Bm",
        "Fb": "E",
    }
    return respelled.get(name, name)


def _conductor(part: Part) -> list[Event]:
    import mido

    events: list[tuple[int, int, MetaMessage]] = [
        (0, 0, mido.MetaMessage("track_name", name=_meta_text(part.title or "Handgroove")))
    ]
    timeline = part.timeline
    for number, change in enumerate(timeline.metres):
        tick = change.tick
        metre = change.metre
        if timeline.pickup_ticks and number == 0:
            # A pickup is written as a short bar of its own, so that bar lines fall where they should.
            units = max(1, timeline.pickup_ticks // metre.unit_ticks)
            events.append((0, 1, _time_signature(units, metre.unit)))
            tick = timeline.pickup_ticks
        events.append((tick, 1, _time_signature(metre.beats, metre.unit)))
    for tempo in timeline.tempos:
        events.append((tempo.tick, 2, mido.MetaMessage("set_tempo", tempo=min(tempo.quarter_us, 2**24 - 1))))
    # Some keys (D# major) have no signature: the notes are right without it.
    with contextlib.suppress(ValueError):
        events.append((0, 3, mido.MetaMessage("key_signature", key=_signature(part.harmony.key))))
    for section in part.sections:
        events.append((section.tick, 4, mido.MetaMessage("marker", text=_meta_text(section.text))))
    return [(tick, rank, number, bytes(meta.bytes())) for number, (tick, rank, meta) in enumerate(events)]


def _time_signature(beats: int, unit: int) -> MetaMessage:
    import mido

    return mido.MetaMessage("time_signature", numerator=min(beats, 255), denominator=unit)


def _hand_events(part: Part, hand: Hand) -> list[Event]:
    import mido

    channel = CHANNELS[hand] - 1
    note_off, note_on, control, program = (kind | channel for kind in (0x80, 0x90, 0xB0, 0xC0))
    name = mido.MetaMessage("track_name", name=_TRACK_NAMES[hand])
    events: list[Event] = [(0, -2, 0, bytes(name.bytes())), (0, -1, 0, bytes((program, 0)))]
    for note in part.notes:
        if note.hand is hand:
            pitch, tick = note.pitch, note.tick
            events.append((tick, _ON, pitch, bytes((note_on, pitch, note.velocity))))
            off = bytes((note_off, pitch, _RELEASE_VELOCITY))
            events.append((tick + note.length_ticks, _OFF, pitch, off))
    for move in part.pedal:
        value = 127 if move.down else 0
        events.append((move.tick, _PEDAL, value, bytes((control, _SUSTAIN, value))))
    return events


def _track(events: Iterable[Event], end_tick: int) -> bytes:
    """Return the chunk of a track of *events*; a status byte that would be said again is left out, as files have it."""
    data = bytearray()
    now = running = 0
    for tick, _, _, message in sorted(events):
        data += _length(tick - now)
        status = message[0]
        data += message[1:] if status == running else message
        running = status if status < 0xF0 else 0  # a meta message ends the run
        now = tick
    data += _length(max(0, end_tick - now)) + b"\xff\x2f\x00"
    return b"MTrk" + pack(">L", len(data)) + data


def _length(number: int) -> bytes:
    """Return *number* as a variable-length quantity: seven bits a byte, the high bit set on all but the last."""
    if number < 0x80:
        return bytes((number,))
    return bytes([byte | 0x80 for byte in _length(number >> 7)]) + bytes((number & 0x7F,))


def format_midi(part: Part) -> bytes:
    """Return *part* as the bytes of a MIDI file, 960 ticks a quarter; the same part gives the same bytes."""
    end_tick = max([part.timeline.end_tick, *(note.end_tick for note in part.notes)])
    tracks = [_conductor(part), *(_hand_events(part, hand) for hand in (Hand.RIGHT, Hand.LEFT))]
    header = b"MThd" + pack(">LHHH", 6, 1, len(tracks), TICKS_PER_QUARTER)
    return header + b"".join(_track(events, end_tick) for events in tracks)


def write_midi(part: Part, path: str | Path) -> Path:
    """Write *part* to *path* as a MIDI file, whole or not at all."""
    return write_whole(Path(path), format_midi(part))
