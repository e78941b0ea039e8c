"""The written MIDI file, read back note by note by three libraries that know nothing of each other."""

from __future__ import annotations

import io
from collections.abc import Iterable
from dataclasses import replace
from itertools import accumulate
from pathlib import Path
from typing import Any

import mido
import pytest

from handgroove.errors import HandgrooveError
from handgroove.harmony.chord import Key, Name
from handgroove.output.midi import format_midi, write_midi
from handgroove.part import Part, PedalMove
from handgroove.strike import Hand
from handgroove.timeline import Metre, MetreChange, TempoChange, Timeline
from tests.output.parts import golden_part

Rows = list[tuple[int, int, int, int]]


def rows(part: Part, hand: Hand) -> Rows:
    """Return (tick, length, pitch, velocity) of one hand's notes."""
    return sorted((n.tick, n.length_ticks, n.pitch, n.velocity) for n in part.hand(hand))


def by_mido(data: bytes, track: int) -> Rows:
    """Return the notes of one track as mido's messages give them."""
    now, begun, found = 0, {}, []
    for message in mido.MidiFile(file=io.BytesIO(data)).tracks[track]:
        now += message.time
        if message.type == "note_on":
            assert message.note not in begun, "a key struck while it is down"
            begun[message.note] = (now, message.velocity)
        elif message.type == "note_off":
            tick, velocity = begun.pop(message.note)
            found.append((tick, now - tick, message.note, velocity))
    assert not begun, "a note without an end"
    return sorted(found)


@pytest.mark.parametrize(("track", "hand"), [(1, Hand.RIGHT), (2, Hand.LEFT)])
def test_mido_reads_every_note_back(track: int, hand: Hand) -> None:
    """Every note is there once with its onset, length and velocity, and every note-on is ended."""
    part = golden_part()
    assert by_mido(format_midi(part), track) == rows(part, hand)


def test_gaps_of_any_length_are_read_back() -> None:
    """Ticks that need one to four bytes come back to the tick: 2 ** 7, 14 and 21, and one to each side."""
    edges = [2**bits + off for bits in (7, 14, 21) for off in (-1, 0, 1)]
    model = golden_part().notes[0]
    ticks = list(accumulate(edges))
    notes = tuple(replace(model, tick=tick, length_ticks=1, hand=Hand.RIGHT) for tick in ticks)
    part = replace(golden_part(), notes=notes, pedal=())
    assert [tick for tick, *_ in by_mido(format_midi(part), 1)] == ticks


@pytest.mark.parametrize(("track", "hand"), [(0, Hand.RIGHT), (1, Hand.LEFT)])
def test_symusic_reads_every_note_back(tmp_path: Path, track: int, hand: Hand) -> None:
    """symusic (its own parser in C++) reads the same notes and track names."""
    import symusic

    part = golden_part()
    score: Any = symusic.Score(write_midi(part, tmp_path / "a.mid"))
    assert score.ticks_per_quarter == 960
    read = score.tracks[track]
    assert read.name == f"{hand.value.capitalize()} hand"
    assert sorted((n.time, n.duration, n.pitch, n.velocity) for n in read.notes) == rows(part, hand)


def test_music21_reads_every_note_back() -> None:
    """music21's own MIDI reader finds the same pitches at the same ticks, on channels 1 and 2."""
    from music21 import midi

    part = golden_part()
    file = midi.MidiFile()
    file.readstr(format_midi(part))
    for track, hand, channel in ((1, Hand.RIGHT, 1), (2, Hand.LEFT, 2)):
        now, found = 0, []
        for event in file.tracks[track].events:
            if isinstance(event, midi.DeltaTime):
                now += event.time
            elif event.isNoteOn():
                assert event.channel == channel
                found.append((now, event.pitch, event.velocity))
        assert sorted(found) == sorted((n.tick, n.pitch, n.velocity) for n in part.hand(hand))


def meta(part: Part) -> Iterable[tuple[int, mido.MetaMessage]]:
    """Yield the conductor's messages with their ticks."""
    now = 0
    for message in mido.MidiFile(file=io.BytesIO(format_midi(part))).tracks[0]:
        now += message.time
        yield now, message


def test_the_conductor_has_metre_tempo_key_and_sections() -> None:
    """Changes of metre and tempo, the key and the section names stand at their ticks."""
    timeline = Timeline(
        (MetreChange(0, Metre(4, 4)), MetreChange(3840, Metre(7, 8))),
        (TempoChange(0, 500_000), TempoChange(3840, 400_000)),
        3840 + 3360,
    )
    harmony = replace(golden_part().harmony, key=Key(Name("F", 1), minor=True))
    part = replace(golden_part(), timeline=timeline, harmony=harmony)
    said = [(tick, message.type, message.dict()) for tick, message in meta(part)]
    assert [(t, d["numerator"]) for t, kind, d in said if kind == "time_signature"] == [(0, 4), (3840, 7)]
    assert [(t, d["tempo"]) for t, kind, d in said if kind == "set_tempo"] == [(0, 500_000), (3840, 400_000)]
    assert [d["key"] for _, kind, d in said if kind == "key_signature"] == ["F#m"]


def test_a_pickup_is_a_short_bar() -> None:
    """A pickup of a quarter is written as a bar of 1/4 before the metre."""
    timeline = replace(golden_part().timeline, pickup_ticks=960)
    said = [
        (t, m.numerator)
        for t, m in meta(replace(golden_part(), timeline=timeline))
        if m.type == "time_signature"
    ]
    assert said == [(0, 1), (960, 4)]


@pytest.mark.parametrize("tonic", [Name(letter, alter) for letter in "CDEFGAB" for alter in (-1, 0, 1)])
@pytest.mark.parametrize("minor", [False, True])
def test_every_key_can_be_written(tonic: Name, minor: bool) -> None:
    """No key, however many sharps it would take, stops the file from being written."""
    harmony = replace(golden_part().harmony, key=Key(tonic, minor))
    keys = [m.key for _, m in meta(replace(golden_part(), harmony=harmony)) if m.type == "key_signature"]
    assert len(keys) <= 1


def test_the_pedal_is_on_both_channels() -> None:
    """Controller 64 goes to 127 and 0 on both channels (MIDI 1.0 Detailed Specification: 0-63 off, 64-127 on)."""
    part = replace(golden_part(), pedal=(PedalMove(0, True), PedalMove(1920, False)))
    smf = mido.MidiFile(file=io.BytesIO(format_midi(part)))
    for track, channel in ((1, 0), (2, 1)):
        moves = [(m.control, m.value, m.channel) for m in smf.tracks[track] if m.type == "control_change"]
        assert moves == [(64, 127, channel), (64, 0, channel)]


def test_the_same_part_gives_the_same_bytes() -> None:
    """Writing twice gives the same file."""
    assert format_midi(golden_part()) == format_midi(golden_part())


def test_what_cannot_be_written_says_so_and_leaves_nothing(tmp_path: Path) -> None:
    """A folder in the file's place gives a sentence, and no half file is left."""
    (tmp_path / "file").write_text("")
    with pytest.raises(HandgrooveError, match="cannot be written"):
        write_midi(golden_part(), tmp_path / "file" / "piano.mid")
    assert [path.name for path in tmp_path.iterdir()] == ["file"]
