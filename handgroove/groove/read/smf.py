"""Standard MIDI Files in: opening one safely, its timeline, and the groove on its drum channel.

Source of the format: MIDI Manufacturers Association, *Standard MIDI Files 1.0*. Positions come in at 960 ticks to
the quarter whatever the file's own division is: exactly where that divides, else to the nearest tick (under
0.3 ms at 120). Channels are counted 1 to 16, as on instruments; drums are on 10 unless said otherwise.
"""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from handgroove.errors import HandgrooveError, Problem
from handgroove.groove.hits import Groove, Hit, Marker
from handgroove.groove.kit import FAMILY_ORDER, GENERAL_MIDI, Kit
from handgroove.timeline import TICKS_PER_QUARTER, Metre, MetreChange, TempoChange, Timeline

if TYPE_CHECKING:
    import mido

DRUM_CHANNEL = 10
MOST_BYTES = 16 * 2**20
MOST_HITS = 50_000  # about two hours of busy drumming
_LONGEST_TICK = 2**31  # over ten days at 120: a damaged delta time, not music

_BAD_KEY_SIGNATURE = re.compile(rb"(\xff\x59\x02)..", re.DOTALL)
_RUNAWAY_NUMBER = re.compile(rb"[\x80-\xff]{4096}")


def _broken(path: Path, text: str, remedy: str) -> HandgrooveError:
    return HandgrooveError(Problem(str(path), text, remedy=remedy))


def open_smf(path: str | Path) -> mido.MidiFile:
    """Read the MIDI file at *path* (type 0 or 1), or raise HandgrooveError with a sentence that says what is wrong."""
    path = Path(path)
    try:
        if path.is_dir():
            raise _broken(path, "expected a MIDI file, got a folder", "name a file in it")
        size = path.stat().st_size
        if size > MOST_BYTES:
            megabytes = size / 2**20
            raise _broken(
                path,
                f"expected at most 16 MB, got {megabytes:.0f} MB",
                "no MIDI song is that long; is it audio?",
            )
        data = path.read_bytes()
    except FileNotFoundError:
        raise _broken(
            path, "expected a MIDI file, found nothing there", "check the name and the folder"
        ) from None
    except OSError as error:
        raise _broken(path, f"cannot be read ({error.strerror})", "check that you may open it") from None
    return _parse_smf(path, data)


def _check_header(path: Path, data: bytes) -> None:
    if not data:
        raise _broken(path, "the file is empty", "export it again from where it was made")
    if data[:4] != b"MThd":
        raise _broken(
            path, "not a MIDI file (one begins with 'MThd')", "export as a Standard MIDI File, type 0 or 1"
        )
    if len(data) >= 14 and data[12] >= 0x80:
        raise _broken(
            path,
            "its time is in film frames (SMPTE), so it has no beats to read",
            "export it with time in ticks per quarter note",
        )
    if len(data) >= 10 and data[9] == 2:
        raise _broken(
            path, "it is a type 2 file: loose patterns, not one piece of music", "export it as type 0 or 1"
        )
    if data[12:14] == b"\0\0" or _RUNAWAY_NUMBER.search(data):
        raise _broken(path, "it is damaged", "export it again from where it was made")


def _parse_smf(path: Path, data: bytes) -> mido.MidiFile:
    import mido
    from mido.midifiles.meta import KeySignatureError

    _check_header(path, data)
    # A wrong key signature spoils no note, so a second try reads the file as if it said C major.
    for attempt in (data, _BAD_KEY_SIGNATURE.sub(rb"\1\0\0", data)):
        try:
            return mido.MidiFile(file=io.BytesIO(attempt), clip=True)
        except KeySignatureError:
            continue
        except EOFError:
            raise _broken(
                path, "it ends too early (the file is cut off)", "copy or export it again"
            ) from None
        except Exception as error:  # the library raises what its parsing happens to meet
            raise _broken(
                path, f"it is damaged ({error})", "export it again from where it was made"
            ) from None
    raise _broken(path, "it is damaged (its key signature)", "export it again from where it was made")


class RawNote(NamedTuple):
    """One note-on of a file: *tick* (960 a quarter), *number* and *velocity*, *channel* (1 to 16), *track* (from 0)."""

    tick: int
    number: int
    velocity: int
    channel: int
    track: int


@dataclass
class _Scan:
    """What one pass over the file's messages gathers."""

    notes: list[RawNote] = field(default_factory=list)
    metres: dict[int, Metre] = field(default_factory=dict)
    tempos: dict[int, int] = field(default_factory=dict)
    markers: list[Marker] = field(default_factory=list)
    names: dict[int, str] = field(default_factory=dict)
    last_tick: int = 0


def scale_tick(tick: int, division: int) -> int:
    """Return *tick* of a file with *division* ticks a quarter at 960 a quarter, to the nearest."""
    return (tick * TICKS_PER_QUARTER * 2 + division) // (2 * division)


def _scan_meta(found: Any, scan: _Scan, tick: int, track: int) -> None:
    """Note what the meta message *found* says at *tick* about metre, tempo, sections or names."""
    kind = found.type
    if kind == "time_signature":
        scan.metres[tick] = Metre(max(1, found.numerator), min(64, found.denominator))
    elif kind == "set_tempo":
        scan.tempos[tick] = max(1, found.tempo)
    elif kind in ("marker", "cue_marker"):
        scan.markers.append(Marker(tick, found.text.strip("\0 ")))
    elif kind == "track_name":
        scan.names.setdefault(track, found.name.strip("\0 "))


def _scan(path: Path, smf: mido.MidiFile) -> _Scan:
    scan = _Scan()
    division, note_down = smf.ticks_per_beat, scan.notes.append
    for index, track in enumerate(smf.tracks):
        raw = 0
        for message in track:
            raw += message.time
            if message.type == "note_on":
                velocity = message.velocity
                if velocity:
                    tick = scale_tick(raw, division)
                    note_down(RawNote(tick, message.note, velocity, message.channel + 1, index))
            elif message.is_meta:
                _scan_meta(message, scan, scale_tick(raw, division), index)
        scan.last_tick = max(scan.last_tick, scale_tick(raw, division))
    if scan.last_tick > _LONGEST_TICK:
        raise _broken(path, "it is damaged (it lasts for weeks)", "export it again from where it was made")
    return scan


def _make_timeline(scan: _Scan, last_tick: int, pickup_ticks: int) -> Timeline:
    """Make the timeline, to the end of the bar of *last_tick*; a first bar shorter than the next metre is a pickup."""
    changes = sorted(scan.metres.items())
    if not changes or changes[0][0] > 0:
        changes.insert(0, (0, Metre(4, 4)))
    if not pickup_ticks and len(changes) > 1:
        first_length, after = changes[1]
        if first_length < after.bar_ticks and first_length <= changes[0][1].bar_ticks:
            pickup_ticks = first_length
    if pickup_ticks and len(changes) > 1 and changes[1][0] == pickup_ticks:
        changes[0:2] = [(0, changes[1][1])]
    metres: list[MetreChange] = []
    for tick, metre in changes:
        if not metres or metres[-1].metre != metre:
            metres.append(MetreChange(tick, metre))
    tempos = [TempoChange(tick, us) for tick, us in sorted(scan.tempos.items())]
    if not tempos or tempos[0].tick > 0:
        tempos.insert(0, TempoChange(0, 500_000))
    timeline = Timeline(tuple(metres), tuple(tempos), last_tick, pickup_ticks)
    return Timeline(timeline.metres, timeline.tempos, timeline.bar_at(last_tick).end_tick, pickup_ticks)


def read_timeline(path: str | Path, smf: mido.MidiFile) -> tuple[Timeline, tuple[Marker, ...]]:
    """Return the timeline of an opened file and its markers; it ends with the bar of the file's last event."""
    scan = _scan(Path(path), smf)
    return _make_timeline(scan, max(0, scan.last_tick - 1), 0), _markers(scan)


def _markers(scan: _Scan) -> tuple[Marker, ...]:
    return tuple(dict.fromkeys(sorted(scan.markers, key=lambda marker: marker.tick)))


def _choose(path: Path, scan: _Scan, channel: int | None, tracks: Sequence[str]) -> Iterable[RawNote]:
    """Return the notes of the wanted tracks (names or numbers from 1), or else of the channel (None = any)."""
    if not tracks:
        return [note for note in scan.notes if channel is None or note.channel == channel]
    sounding = sorted({note.track for note in scan.notes})
    wanted = {
        index
        for index in sounding
        for name in tracks
        if name == str(index + 1) or (name and name.casefold() in scan.names.get(index, "").casefold())
    }
    if not wanted:
        have = ", ".join(f"{index + 1} ({scan.names.get(index, 'no name')})" for index in sounding)
        asked = " or ".join(tracks)
        raise _broken(
            path,
            f"expected a track with notes called {asked}, got {have or 'no track with notes'}",
            "name one of these with --track",
        )
    return [note for note in scan.notes if note.track in wanted]


def _no_drums(path: Path, scan: _Scan, channel: int | None) -> HandgrooveError:
    if not scan.notes:
        return _broken(path, "expected drum hits, got a file with no notes", "export the drum track itself")
    heard = Counter(note.channel for note in scan.notes)
    have = ", ".join(f"channel {number} ({count} notes)" for number, count in sorted(heard.items()))
    best = heard.most_common(1)[0][0]
    return _broken(
        path,
        f"expected drum hits on channel {channel}, got notes only on {have}",
        f"if the drums are there, say --channel {best}",
    )


def read_groove(
    path: str | Path,
    kit: Kit = GENERAL_MIDI,
    channel: int | None = DRUM_CHANNEL,
    tracks: Sequence[str] = (),
    pickup_ticks: int = 0,
) -> Groove:
    """Read the drum hits of the MIDI file at *path*, microtiming and velocity kept.

    *channel* is 1 to 16 (None = any); *tracks* are names or numbers counted from 1 and, where given, override the
    channel. *pickup_ticks* says how long an incomplete first bar is, where the file's metres don't show it. Raise
    HandgrooveError where the file is no MIDI file, is damaged, or holds no drums.
    """
    path = Path(path)
    scan = _scan(path, open_smf(path))
    unknown: Counter[int] = Counter()
    # Each as `Hit.order` says, so that they sort as plain numbers
    struck: set[tuple[int, int, int, int]] = set()
    pieces, places = kit.pieces, {number: FAMILY_ORDER[piece.family] for number, piece in kit.pieces.items()}
    for tick, number, velocity, _, _ in _choose(path, scan, channel, tracks):
        if number in places:
            struck.add((tick, places[number], number, velocity))
        else:
            unknown[number] += 1
    hits = tuple(
        [Hit(tick, pieces[number], velocity, number) for tick, _, number, velocity in sorted(struck)]
    )
    if not hits and unknown:
        numbers = ", ".join(str(number) for number in sorted(unknown))
        raise _broken(
            path, f"none of its drum notes ({numbers}) is in the kit {kit.name}", "describe yours with --kit"
        )
    if not hits:
        raise _no_drums(path, scan, channel)
    if len(hits) > MOST_HITS:
        raise _broken(path, f"expected at most {MOST_HITS:,} hits, got {len(hits):,}", "cut it into songs")
    timeline = _make_timeline(scan, hits[-1].tick, pickup_ticks)
    metre = timeline.metre_at(timeline.first_tick)
    if pickup_ticks >= metre.bar_ticks:
        whole = f"{metre.bar_ticks / 960:g} quarter notes"
        raise _broken(
            path,
            f"expected a pickup shorter than a bar of {metre} ({whole}), got {pickup_ticks / 960:g}",
            "say how long the incomplete first bar is, or leave --pickup out where it is whole",
        )
    return Groove(
        hits,
        timeline,
        path.stem,
        unknown=dict(sorted(unknown.items())),
        markers=_markers(scan),
        source=str(path),
    )
