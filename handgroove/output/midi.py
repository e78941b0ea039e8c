"""The part as a Standard MIDI File, type 1: a conductor track, then the right hand and the left.

Channel 1 is the right hand, channel 2 the left; the pedal stands on both, since a piano has one. Note-offs are
written as such, before note-ons that fall together with them. Source: MIDI Manufacturers Association, *Standard MIDI
Files 1.0* and *MIDI 1.0 Detailed Specification* (controller 64: 0 up, 127 down).
"""

from __future__ import annotations

import contextlib
import io
import struct
from pathlib import Path
from typing import TYPE_CHECKING, Any

from handgroove.harmony.chord import Key
from handgroove.output.files import write_whole
from handgroove.part import Part
from handgroove.strike import Hand
from handgroove.timeline import TICKS_PER_QUARTER

if TYPE_CHECKING:
    import mido

CHANNELS = {Hand.RIGHT: 1, Hand.LEFT: 2}
_TRACK_NAMES = {Hand.RIGHT: "Right hand", Hand.LEFT: "Left hand"}
_SUSTAIN = 64

# What falls on one tick comes in this order: what ends, then the pedal, then what begins.
_OFF, _PEDAL, _ON = 0, 1, 2
_STATUS, _PROGRAM = (0x80, 0xB0, 0x90), 0xC0


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


def _conductor(part: Part) -> list[tuple[int, int, Any]]:
    import mido

    events: list[tuple[int, int, Any]] = [
        (0, 0, mido.MetaMessage("track_name", name=_meta_text(part.title or "Handgroove")))
    ]
    timeline = part.timeline
    for number, change in enumerate(timeline.metres):
        tick = change.tick
        metre = change.metre
        if timeline.pickup_ticks and number == 0 and not timeline.lead_ticks:
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
    return events


def _time_signature(beats: int, unit: int) -> Any:
    import mido

    return mido.MetaMessage("time_signature", numerator=min(beats, 255), denominator=unit)


def _hand_track(part: Part, hand: Hand, end_tick: int) -> bytes:
    """Return *hand*'s notes with the pedal as a track's chunk; written out, since there are many of them."""
    import mido

    channel = CHANNELS[hand] - 1
    rows: list[tuple[int, int, int, int]] = []
    for note in part.hand(hand):
        rows.append((note.tick, _ON, note.pitch, note.velocity))
        rows.append((note.end_tick, _OFF, note.pitch, 64))
    rows += [(move.tick, _PEDAL, _SUSTAIN, 127 if move.down else 0) for move in part.pedal]
    rows.sort()
    data = bytearray([0, *mido.MetaMessage("track_name", name=_TRACK_NAMES[hand]).bytes()])
    now, running = 0, _PROGRAM | channel
    data += bytes((0, running, 0))
    for tick, order, number, value in rows:
        data += _variable(tick - now)
        now, status = tick, _STATUS[order] | channel
        if status != running:
            data.append(status)
            running = status
        data += bytes((number, value))
    data += bytes((*_variable(max(0, end_tick - now)), *mido.MetaMessage("end_of_track").bytes()))
    return struct.pack(">4sL", b"MTrk", len(data)) + data


def _variable(number: int) -> bytes:
    """Return *number* as a variable-length quantity: seven bits a byte, and a high bit where more follow."""
    if number < 0x80:
        return bytes((number,))
    return bytes((*(byte | 0x80 for byte in _variable(number >> 7)), number & 0x7F))


def _conductor_track(part: Part, end_tick: int) -> mido.MidiTrack:
    """Return metre, tempo, key and sections as a track."""
    import mido

    track = mido.MidiTrack()
    now = 0
    for tick, _, message in sorted(_conductor(part), key=lambda event: event[:2]):
        message.time = tick - now
        track.append(message)
        now = tick
    track.append(mido.MetaMessage("end_of_track", time=max(0, end_tick - now)))
    return track


def format_midi(part: Part) -> bytes:
    """Return *part* as the bytes of a MIDI file, 960 ticks a quarter; the same part gives the same bytes."""
    import mido

    end_tick = max([part.timeline.end_tick, *(note.end_tick for note in part.notes)])
    smf = mido.MidiFile(tracks=[_conductor_track(part, end_tick)])
    out = io.BytesIO()
    smf.save(file=out)
    hands = [_hand_track(part, hand, end_tick) for hand in (Hand.RIGHT, Hand.LEFT)]
    header = struct.pack(">4sLHHH", b"MThd", 6, 1, 1 + len(hands), TICKS_PER_QUARTER)
    return b"".join((header, out.getvalue()[len(header) :], *hands))


def write_midi(part: Part, path: str | Path) -> Path:
    """Write *part* to *path* as a MIDI file, whole or not at all."""
    return write_whole(Path(path), format_midi(part))
