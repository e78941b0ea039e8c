"""Takes as files: a journal that grows line by line, and the MIDI file that is made of it at the end.

The journal is what survives a crash: every message is in it within a second, and the next recording in the same folder
finds it and makes the MIDI file. No take is ever written over: names are claimed by creating them.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TextIO

from handgroove.timeline import TICKS_PER_QUARTER


@dataclass(slots=True)
class Take:
    """What one journal holds: tempos as (second, quarter notes a minute), and each track's (second, bytes)."""

    tempos: list[tuple[float, float]] = field(default_factory=list)
    tracks: dict[str, list[tuple[float, tuple[int, ...]]]] = field(default_factory=dict)


class Journal:
    """The growing record of the take called *name* in *folder*, which nobody else has."""

    def __init__(self, folder: Path, date: str) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self.path, self._file = _claim(folder, date)
        _lock(self._file)

    def write(self, entry: list[Any]) -> None:
        """Add one line."""
        self._file.write(json.dumps(entry, separators=(",", ":")) + "\n")

    def keep(self) -> None:
        """Put what was written onto the disk."""
        self._file.flush()
        os.fsync(self._file.fileno())

    def finish(self) -> Path | None:
        """Make the MIDI file and remove the journal; return its path, or None when nothing was played."""
        self._file.flush()
        made = make_midi_file(self.path)
        self._file.close()
        return made


def _claim(folder: Path, date: str) -> tuple[Path, TextIO]:
    """Create the first free journal of *folder*: ``2026-01-31-2015-take-01.journal``."""
    for number in range(1, 10_000):
        path = folder / f"{date}-take-{number:02d}.journal"
        if path.with_suffix(".mid").exists():
            continue
        try:
            return path, path.open("x", encoding="utf-8")
        except FileExistsError:
            continue
    raise FileExistsError(f"{folder} is full of takes")


def _lock(file: TextIO) -> bool:
    """Mark *file* as being written; return whether nobody else does. Where there are no locks, it is ours."""
    try:
        import fcntl
    except ImportError:  # Windows
        return True
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def recover(folder: Path) -> list[Path]:
    """Make MIDI files of journals that a crash left in *folder*; return their paths."""
    made = []
    for path in sorted(folder.glob("*-take-*.journal")):
        with path.open("r+", encoding="utf-8") as file:
            if _lock(file):
                found = make_midi_file(path)
                made += [found] if found else []
    return made


def make_midi_file(journal: Path) -> Path | None:
    """Make the MIDI file of *journal* beside it and remove the journal; return None when it holds no message."""
    from handgroove.output.files import write_whole

    take = read_take(_lines(journal))
    if not take.tracks:
        journal.unlink()
        return None
    path = journal.with_suffix(".mid")
    number = 2
    while path.exists():  # never over a file that is there
        path = journal.with_name(f"{journal.stem}-{number}.mid")
        number += 1
    write_whole(path, midi_bytes(take))
    journal.unlink()
    return path


def _lines(journal: Path) -> Iterator[list[Any]]:
    with journal.open(encoding="utf-8", errors="replace") as file:
        for line in file:
            try:
                entry = json.loads(line)
            except ValueError:  # the last line of a crash may be half a line
                continue
            if isinstance(entry, list) and len(entry) >= 3:
                yield entry


def read_take(entries: Iterable[list[Any]]) -> Take:
    """Return the take that the *entries* of a journal make."""
    take = Take()
    for entry in entries:
        if entry[0] == "tempo":
            take.tempos.append((float(entry[1]), float(entry[2])))
        elif entry[0] in ("in", "out") and len(entry) == 4:
            track = take.tracks.setdefault(f"{entry[0]}: {entry[1]}", [])
            track.append((float(entry[2]), tuple(entry[3])))
    return take


def midi_bytes(take: Take) -> bytes:
    """Return *take* as a standard MIDI file of type 1: a tempo track, then a track for each line and outlet."""
    from io import BytesIO

    import mido

    tempos = sorted(take.tempos) or [(0.0, 120.0)]
    start_sec = min([tempos[0][0], *(track[0][0] for track in take.tracks.values() if track)])
    tempos[0] = (start_sec, tempos[0][1])
    file = mido.MidiFile(type=1, ticks_per_beat=TICKS_PER_QUARTER)
    timed = [
        (_tick(sec, tempos), mido.MetaMessage("set_tempo", tempo=round(60e6 / bpm))) for sec, bpm in tempos
    ]
    file.tracks.append(_track(mido, "tempo", timed))
    for name, messages in take.tracks.items():
        events = [(_tick(sec, tempos), mido.Message.from_bytes(data)) for sec, data in messages]
        file.tracks.append(_track(mido, name, events))
    buffer = BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


def _tick(sec: float, tempos: list[tuple[float, float]]) -> int:
    """Return the tick of *sec* under *tempos*, which start at the take's beginning."""
    ticks = 0.0
    for index, (from_sec, bpm) in enumerate(tempos):
        until_sec = tempos[index + 1][0] if index + 1 < len(tempos) else sec
        ticks += max(0.0, min(sec, until_sec) - from_sec) * bpm / 60 * TICKS_PER_QUARTER
    return round(ticks)


def _track(mido: Any, name: str, events: list[tuple[int, Any]]) -> Any:
    track = mido.MidiTrack()
    track.append(mido.MetaMessage("track_name", name=name, time=0))
    before = 0
    for tick, message in sorted(events, key=lambda event: event[0]):
        track.append(message.copy(time=max(0, tick - before)))
        before = max(before, tick)
    return track
