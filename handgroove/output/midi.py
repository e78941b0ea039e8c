"""The part as a Standard MIDI File, type 1: a conductor track, then the right hand and the left.

Channel 1 is the right hand, channel 2 the left; the pedal stands on both, since a piano has one. Note-offs are
written as such, before note-ons that fall together with them. Source: MIDI Manufacturers Association, *Standard MIDI
Files 1.0* and *MIDI 1.0 Detailed Specification* (controller 64: 0 up, 127 down).
"""

from __future__ import annotations

import contextlib
import io
from collections.abc import Iterable
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
    return events


def _time_signature(beats: int, unit: int) -> Any:
    import mido

    return mido.MetaMessage("time_signature", numerator=min(beats, 255), denominator=unit)


def _hand_events(part: Part, hand: Hand) -> list[tuple[int, int, int, Any]]:
    import mido

    channel = CHANNELS[hand] - 1
    message = mido.Message
    events: list[tuple[int, int, int, Any]] = []
    for note in part.hand(hand):
        on = message("note_on", note=note.pitch, velocity=note.velocity, channel=channel)
        off = message("note_off", note=note.pitch, velocity=64, channel=channel)
        events.append((note.tick, _ON, note.pitch, on))
        events.append((note.end_tick, _OFF, note.pitch, off))
    for move in part.pedal:
        value = 127 if move.down else 0
        change = message("control_change", control=_SUSTAIN, value=value, channel=channel)
        events.append((move.tick, _PEDAL, value, change))
    return events


def _track(events: Iterable[tuple[Any, ...]], end_tick: int) -> mido.MidiTrack:
    """Return a track of *events* (tick first, message last), sorted by all that stands before the message."""
    import mido

    track = mido.MidiTrack()
    now = 0
    for event in sorted(events, key=lambda event: event[:-1]):
        tick, message = event[0], event[-1]
        message.time = tick - now
        track.append(message)
        now = tick
    track.append(mido.MetaMessage("end_of_track", time=max(0, end_tick - now)))
    return track


def format_midi(part: Part) -> bytes:
    """Return *part* as the bytes of a MIDI file, 960 ticks a quarter; the same part gives the same bytes."""
    import mido

    end_tick = max([part.timeline.end_tick, *(note.end_tick for note in part.notes)])
    smf = mido.MidiFile(type=1, ticks_per_beat=TICKS_PER_QUARTER)
    smf.tracks.append(_track(_conductor(part), end_tick))
    for hand in (Hand.RIGHT, Hand.LEFT):
        name = mido.MetaMessage("track_name", name=_TRACK_NAMES[hand])
        program = mido.Message("program_change", program=0, channel=CHANNELS[hand] - 1)
        opening: list[tuple[Any, ...]] = [(0, -2, 0, name), (0, -1, 0, program)]
        smf.tracks.append(_track([*opening, *_hand_events(part, hand)], end_tick))
    out = io.BytesIO()
    smf.save(file=out)
    return out.getvalue()


def write_midi(part: Part, path: str | Path) -> Path:
    """Write *part* to *path* as a MIDI file, whole or not at all."""
    return write_whole(Path(path), format_midi(part))
