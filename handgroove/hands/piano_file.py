"""Piano MIDI files of anybody's: read, and split between the hands by track, by channel, or by search."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from handgroove.errors import HandgrooveError, Problem
from handgroove.groove.read.smf import DRUM_CHANNEL, open_smf, read_timeline, scale_tick
from handgroove.groove.read.smf_tracks import Smf
from handgroove.hands.player import Player
from handgroove.hands.split import split_by_search
from handgroove.part import Note
from handgroove.strike import Hand, Role
from handgroove.timeline import Timeline

MOST_NOTES = 200_000
_LEFT_WORDS, _RIGHT_WORDS = (
    ("left", "lh", "l.h.", "lower", "bass"),
    ("right", "rh", "r.h.", "upper", "treble"),
)


@dataclass(frozen=True, slots=True)
class PianoFile:
    """A piano file's notes, each with its hand, and *split*: how the hands were told apart, in words."""

    notes: tuple[Note, ...]
    timeline: Timeline
    split: str


@dataclass(frozen=True, slots=True)
class _Voice:
    """The notes of one channel of one track."""

    name: str
    track: int
    notes: tuple[Note, ...]

    @property
    def height(self) -> float:
        """Return the mean pitch."""
        return sum(note.pitch for note in self.notes) / len(self.notes)


def read_piano(path: str | Path, player: Player, tracks: Sequence[int] = ()) -> PianoFile:
    """Read the piano part in the MIDI file at *path*; *tracks* are the left and right hand's, counted from 1."""
    path = Path(path)
    smf = open_smf(path)
    timeline, _ = read_timeline(path, smf)
    voices = _read_voices(smf)
    chosen = [_of_track(path, voices, number) for number in tracks] if tracks else _choose(voices)
    if not chosen:
        raise HandgrooveError(
            Problem(str(path), "expected piano notes, got none", remedy="is it the right file?")
        )
    if len(chosen) == 2:
        left, right = chosen
        notes = [*left.notes, *(replace(note, hand=Hand.RIGHT) for note in right.notes)]
        split = f"left hand: {left.name}; right hand: {right.name}"
    else:
        notes = split_by_search(chosen[0].notes, player, timeline)
        split = f"{chosen[0].name}, split between the hands by search"
    if len(notes) > MOST_NOTES:
        text = f"expected at most {MOST_NOTES:,} notes, got {len(notes):,}"
        raise HandgrooveError(Problem(str(path), text, remedy="cut it into pieces"))
    return PianoFile(tuple(sorted(notes, key=lambda note: note.order)), timeline, split)


def _read_voices(smf: Smf) -> list[_Voice]:
    """Return every track's and channel's notes, drums left aside."""
    voices = []
    for number, track in enumerate(smf.tracks, start=1):
        name = ""
        found: dict[int, list[Note]] = defaultdict(list)
        open_notes: dict[tuple[int, int], tuple[int, int]] = {}
        raw = tick = 0
        for message in track:
            raw += message.time
            tick = scale_tick(raw, smf.ticks_per_beat)
            if message.type == "track_name":
                name = message.name.strip("\0 ")
            if message.type not in ("note_on", "note_off") or message.channel + 1 == DRUM_CHANNEL:
                continue
            key = (message.channel, message.note)
            if key in open_notes:  # an end, or a second stroke that ends the first
                _close(found[message.channel], message.note, open_notes.pop(key), tick)
            if message.type == "note_on" and message.velocity:
                open_notes[key] = (tick, message.velocity)
        for (channel, pitch), opened in open_notes.items():
            _close(found[channel], pitch, opened, tick)
        for channel, notes in sorted(found.items()):
            title = f"track {number}" + (f" ({name})" if name else "")
            title += f", channel {channel + 1}" if len(found) > 1 else ""
            voices.append(_Voice(title, number, tuple(sorted(notes, key=lambda note: note.order))))
    return voices


def _close(notes: list[Note], pitch: int, opened: tuple[int, int], end_tick: int) -> None:
    tick, velocity = opened
    notes.append(Note(tick, max(1, end_tick - tick), pitch, velocity, Hand.LEFT, Role.COMPING))


def _of_track(path: Path, voices: list[_Voice], number: int) -> _Voice:
    """Return all notes of one track."""
    mine = [voice for voice in voices if voice.track == number]
    if not mine:
        have = ", ".join(str(track) for track in sorted({voice.track for voice in voices})) or "none"
        text = f"expected notes on track {number}, got none; tracks with notes: {have}"
        raise HandgrooveError(Problem(str(path), text, remedy="name these with --left and --right"))
    notes = sorted((note for voice in mine for note in voice.notes), key=lambda note: note.order)
    return _Voice(mine[0].name, number, tuple(notes))


def _choose(voices: list[_Voice]) -> list[_Voice]:
    """Return left and right hand's voices: by name where they say so, else the two fullest by height; or only one."""
    lefts = [voice for voice in voices if _named(voice, _LEFT_WORDS)]
    rights = [voice for voice in voices if _named(voice, _RIGHT_WORDS)]
    if len(lefts) == 1 and len(rights) == 1 and lefts != rights:
        return [lefts[0], rights[0]]
    fullest = sorted(voices, key=lambda voice: -len(voice.notes))[:2]
    return sorted(fullest, key=lambda voice: voice.height)


def _named(voice: _Voice, words: Sequence[str]) -> bool:
    name = voice.name.lower()
    return any(word in name for word in words)
