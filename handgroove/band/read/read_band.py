"""Reading a whole band's MIDI file: every track with its notes' lengths, whatever a sequencer made of it.

A file of type 0, or a track that mixes channels, is parted by channel. Tracks of one name that never sound together
are one player's takes and are joined; where they overlap they are numbered. Notes without an end last to the next of
their pitch, or to the end of their track.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from handgroove.band.read.tracks import Band, BandNote, BandTrack, cut_timeline
from handgroove.errors import HandgrooveError, Problem
from handgroove.groove.read.smf import open_smf, read_timeline, scale_tick

if TYPE_CHECKING:
    import mido

MOST_NOTES = 200_000  # three hours of a busy band
DRUM_CHANNEL = 10


@dataclass(slots=True)
class _Voice:
    """What one pass gathers of one track's channel."""

    track: int
    channel: int
    notes: list[BandNote] = field(default_factory=list)
    down: dict[int, tuple[int, int]] = field(default_factory=dict)
    program: int | None = None
    programs: Counter[int | None] = field(default_factory=Counter)

    def press(self, tick: int, pitch: int, velocity: int) -> None:
        """Begin a note; one of its pitch that still sounds ends here."""
        self.release(tick, pitch)
        self.down[pitch] = (tick, velocity)
        self.programs[self.program] += 1

    def release(self, tick: int, pitch: int) -> None:
        """End the note of *pitch*, if it sounds."""
        begun = self.down.pop(pitch, None)
        if begun is not None:
            start, velocity = begun
            self.notes.append(BandNote(start, max(1, tick - start), pitch, velocity))


def read_band(path: str | Path) -> Band:
    """Read every track of the MIDI file at *path*; raise HandgrooveError where it is none, damaged, or has no notes."""
    path = Path(path)
    smf = open_smf(path)
    timeline, markers = read_timeline(path, smf)
    names: dict[int, str] = {}
    voices, has_tempo = _read_voices(smf, names)
    count = sum(len(voice.notes) for voice in voices)
    if not count:
        raise HandgrooveError(
            Problem(
                str(path),
                "expected a band's notes, got a file with none",
                remedy="export the tracks themselves",
            )
        )
    if count > MOST_NOTES:
        raise HandgrooveError(
            Problem(
                str(path), f"expected at most {MOST_NOTES:,} notes, got {count:,}", remedy="cut it into songs"
            )
        )
    tracks = _name_tracks(voices, names)
    messages = []
    if not has_tempo:
        messages.append("The file states no tempo: 120 quarter notes a minute are assumed.")
    title = "" if any(voice.track == 0 for voice in voices) else names.get(0, "")
    return Band(
        tracks, cut_timeline(timeline, tracks), title or path.stem, markers, str(path), tuple(messages)
    )


def _read_voices(smf: mido.MidiFile, names: dict[int, str]) -> tuple[list[_Voice], bool]:
    """Return the voices with notes, in file order, and whether the file states a tempo; fill in the tracks' *names*."""
    found: list[_Voice] = []
    division, has_tempo = smf.ticks_per_beat, False
    for index, track in enumerate(smf.tracks):
        raw = 0
        voices: dict[int, _Voice] = {}
        for message in track:
            raw += message.time
            kind = message.type
            if kind in ("note_on", "note_off", "program_change"):
                channel = message.channel + 1
                voice = voices.get(channel)
                if voice is None:
                    voice = voices[channel] = _Voice(index, channel)
                if kind == "program_change":
                    voice.program = message.program
                elif kind == "note_on" and message.velocity:
                    voice.press(scale_tick(raw, division), message.note, message.velocity)
                else:
                    voice.release(scale_tick(raw, division), message.note)
            elif kind == "track_name":
                names.setdefault(index, " ".join(message.name.strip("\0 ").split()))
            elif kind == "set_tempo":
                has_tempo = True
        end = scale_tick(raw, division)
        for voice in voices.values():
            for pitch in list(voice.down):
                voice.release(max(end, voice.down[pitch][0] + 1), pitch)
            voice.notes.sort(key=lambda note: (note.tick, note.pitch))
        found += [voice for voice in voices.values() if voice.notes]
    return found, has_tempo


def _name_tracks(voices: list[_Voice], names: dict[int, str]) -> tuple[BandTrack, ...]:
    """Return the voices as tracks whose names are all different."""
    channels = Counter(voice.track for voice in voices)
    tracks: list[BandTrack] = []
    for voice in voices:
        name = names.get(voice.track, "")
        if channels[voice.track] > 1 or not name:
            label = "drums" if voice.channel == DRUM_CHANNEL else f"channel {voice.channel}"
            name = f"{name}, {label}" if name and len(channels) > 1 else label
        program = voice.programs.most_common(1)[0][0]
        track = BandTrack(name, tuple(voice.notes), voice.channel, program, voice.track + 1)
        twin = next((n for n, old in enumerate(tracks) if _is_take_of(track, old)), None)
        if twin is None:
            tracks.append(track)
        else:
            tracks[twin] = _join(tracks[twin], track)
    return _tell_apart(tracks)


def _tell_apart(tracks: list[BandTrack]) -> tuple[BandTrack, ...]:
    """Return *tracks* with a number after each name that came before."""
    named: list[BandTrack] = []
    taken: set[str] = set()
    for track in tracks:
        name, number = track.name, 2
        while name in taken:
            name, number = f"{track.name} ({number})", number + 1
        taken.add(name)
        named.append(replace(track, name=name))
    return tuple(named)


def _is_take_of(track: BandTrack, other: BandTrack) -> bool:
    """Return whether two tracks share name, channel and program and never sound together."""
    if (track.name, track.channel, track.program) != (other.name, other.channel, other.program):
        return False
    if track.channel == DRUM_CHANNEL:
        return True
    first, second = sorted((track, other), key=lambda one: one.notes[0].tick)
    return max(note.end_tick for note in first.notes) <= second.notes[0].tick


def _join(track: BandTrack, other: BandTrack) -> BandTrack:
    notes = sorted((*track.notes, *other.notes), key=lambda note: (note.tick, note.pitch))
    return BandTrack(track.name, tuple(notes), track.channel, track.program, track.number)
