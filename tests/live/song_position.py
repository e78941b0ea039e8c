"""The song position pointer, as a sequencer sends it (MIDI 1.0 Detailed Specification: 14 bits, low seven first)."""

from __future__ import annotations

from handgroove.live.core.messages import SONG_POSITION, Message

MAX_SONG_POSITION = 0x3FFF


def song_position(midi_beats: int) -> Message:
    """Return a song position pointer: *midi_beats* sixteenths from the start, low seven bits first."""
    midi_beats = max(0, min(MAX_SONG_POSITION, midi_beats))
    return (SONG_POSITION, midi_beats & 0x7F, midi_beats >> 7)
