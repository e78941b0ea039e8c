"""Small bands for tests, written as text and saved as MIDI files."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

import mido

DIVISION = 480
STEP = DIVISION // 4

# (step, length in steps, pitch, velocity)
Row = tuple[int, int, int, int]


def notes(text: str, velocity: int = 90) -> list[Row]:
    """Return the notes of *text*: ``60/4 62/4 r/8``, one after another, lengths in sixteenths; ``60+64/4`` a chord."""
    found, step = [], 0
    for token in text.split():
        pitches, length = token.split("/")
        if pitches != "r":
            found += [(step, int(length), int(pitch), velocity) for pitch in pitches.split("+")]
        step += int(length)
    return found


def times(rows: Iterable[Row], count: int, steps: int = 16) -> list[Row]:
    """Return *rows* said *count* times, *steps* apart."""
    rows = list(rows)
    return [
        (step + n * steps, length, pitch, velocity)
        for n in range(count)
        for step, length, pitch, velocity in rows
    ]


def drums(bars: int, **lines: str) -> list[Row]:
    """Return *bars* bars of a groove: kick, snare, hat, crash rows of sixteenths, X accented, x normal."""
    numbers = {"kick": 36, "snare": 38, "hat": 42, "crash": 49, "tom": 45}
    rows = [
        (step, 1, numbers[name], 110 if stroke == "X" else 80)
        for name, line in lines.items()
        for step, stroke in enumerate(line)
        if stroke != "."
    ]
    return times(sorted(rows), bars)


ROCK = {"kick": "X.......X.x.....", "snare": "....X.......X...", "hat": "X.x.X.x.X.x.X.x."}


def track(name: str, rows: Iterable[Row], channel: int, program: int | None = None) -> mido.MidiTrack:
    """Return a track of *rows* on *channel* (1 to 16)."""
    made = mido.MidiTrack([mido.MetaMessage("track_name", name=name)] if name else [])
    if program is not None:
        made.append(mido.Message("program_change", channel=channel - 1, program=program))
    made.extend(_messages(rows, channel))
    return made


def _messages(rows: Iterable[Row], channel: int) -> list[mido.Message]:
    events = []
    for step, length, pitch, velocity in rows:
        on = mido.Message("note_on", note=pitch, velocity=velocity, channel=channel - 1)
        events.append((step * STEP, 1, pitch, on))
        off = mido.Message("note_off", note=pitch, channel=channel - 1)
        events.append(((step + length) * STEP - 10, 0, pitch, off))
    now, found = 0, []
    for tick, _, _, message in sorted(events, key=lambda event: event[:3]):
        found.append(message.copy(time=tick - now))
        now = tick
    return found


def save(path: Path, *tracks: mido.MidiTrack, tempo_bpm: float | None = 100, kind: int = 1) -> Path:
    """Write *tracks* to *path* after a conductor's track (type 0: all in one, channels kept)."""
    smf = mido.MidiFile(type=kind, ticks_per_beat=DIVISION)
    conductor = mido.MidiTrack()
    if tempo_bpm:
        conductor.append(mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(tempo_bpm)))
    if kind == 0:
        smf.tracks.append(mido.merge_tracks([conductor, *tracks]))
    else:
        smf.tracks += [conductor, *tracks]
    smf.save(path)
    return path


# Eight bars in C: two chords, a bass on the kick, a tune that breathes, and drums.
TUNE = "72/4 74/4 76/6 r/2 79/4 76/4 74/4 r/4"
BASS = "36/6 36/2 36/4 40/4 43/6 43/2 43/4 41/4"
KEYS = "60+64+67/3 r/3 60+64+67/2 60+64+67/4 r/4 59+62+67/3 r/3 59+62+67/2 59+62+67/4 r/4"


def quartet(bars: int = 8) -> Mapping[str, mido.MidiTrack]:
    """Return drums, bass, keys and a tune, *bars* bars (an even number) long."""
    turns = bars // 2
    return {
        "Drums": track("Drums", drums(bars, **ROCK), 10),
        "Bass": track("Bass", times(notes(BASS), turns, 32), 1, 33),
        "Keys": track("Keys", times(notes(KEYS, 70), turns, 32), 2, 4),
        "Lead": track("Lead", times(notes(TUNE, 100), turns, 32), 3, 80),
    }
