"""What a part asks of each hand's body: octaves, stretches without rest, repetition, reach; and the usual cautions.

Cautions are quoted, and are no medical advice: NASM-PAMA, *Protecting Your Neuromusculoskeletal Health* (breaks, warm
up, know your limits, see a professional if worried); G. Klickstein (2009), *The Musician's Way*, p. 75 (about five
minutes' rest after twenty-five, more at any pain or fatigue); B. Wristen (2000), Medical Problems of Performing Artists
15:55-64 (thirty minutes or less at a time; never through pain). That octaves deserve one: octave and chord technique
was being practised in most injuries that reviews report. The limits below without a source are design choices.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from handgroove.hands.hand_model import TOGETHER_SEC
from handgroove.hands.player import Player
from handgroove.hands.wishes import Clock, clock_of
from handgroove.part import Note
from handgroove.strike import Hand
from handgroove.timeline import Timeline

REST_SEC = 2.0  # a hand that strikes nothing for this long has rested: design choice
LONG_RUN_SEC = 25 * 60.0  # Klickstein (2009)
MANY_OCTAVES = 60.0  # a minute, in the busiest minute: design choice, no source
CAUTION = (
    "Stop when it hurts. Warm up first, and rest some five minutes in every half hour. "
    "If pain or numbness stays, ask a teacher and a doctor. (A usual caution; not medical advice.)"
)


@dataclass(frozen=True, slots=True)
class Load:
    """One hand's load: rates a minute or a second, stretches in seconds, reach in semitones, and where it's most."""

    hand: Hand
    notes: int
    octaves_per_min: float
    busiest_octaves: int
    longest_run_sec: float
    fastest_repeat_hz: float
    fastest_repeat_tick: int
    widest_semitones: int
    widest_tick: int


def find_loads(notes: Sequence[Note], timeline: Timeline) -> list[Load]:
    """Return the load of each hand that plays."""
    clock = clock_of(timeline)
    loads = []
    for hand in Hand:
        mine = sorted((note for note in notes if note.hand is hand), key=lambda note: note.order)
        if mine:
            loads.append(_find_load(hand, mine, clock))
    return loads


def _find_load(hand: Hand, notes: list[Note], clock: Clock) -> Load:
    onsets = [clock(note.tick) for note in notes]
    octaves = _find_octaves(notes, onsets)
    minutes = max((onsets[-1] - onsets[0]) / 60, 1 / 60)
    busiest = max(
        (sum(1 for other in octaves if sec <= other < sec + 60) for sec in octaves[:2000]), default=0
    )
    run, run_start = 0.0, onsets[0]
    for before, after in pairwise(onsets):
        if after - before >= REST_SEC:
            run_start = after
        run = max(run, after - run_start)
    repeat, repeat_tick = 0.0, 0
    widest, widest_tick = 0, notes[0].tick
    last: dict[int, float] = {}
    sounding: list[Note] = []
    for note, sec in zip(notes, onsets, strict=True):
        since = sec - last.get(note.pitch, -1e9)
        if since > TOGETHER_SEC and 1 / since > repeat:
            repeat, repeat_tick = 1 / since, note.tick
        last[note.pitch] = sec
        sounding = [
            old for old in sounding if clock(old.end_tick) > sec + TOGETHER_SEC or old.tick == note.tick
        ]
        sounding.append(note)
        wide = max(old.pitch for old in sounding) - min(old.pitch for old in sounding)
        if wide > widest:
            widest, widest_tick = wide, note.tick
    rate = round(len(octaves) / minutes, 1)
    return Load(
        hand, len(notes), rate, busiest, round(run, 1), round(repeat, 1), repeat_tick, widest, widest_tick
    )


def _find_octaves(notes: list[Note], onsets: list[float]) -> list[float]:
    """Return when the hand strikes an octave or more at once, in seconds."""
    found: list[float] = []
    first = 0
    for index in range(1, len(notes) + 1):
        if index < len(notes) and onsets[index] - onsets[first] <= TOGETHER_SEC:
            continue
        pitches = [note.pitch for note in notes[first:index]]
        if max(pitches) - min(pitches) >= 12:
            found.append(onsets[first])
        first = index
    return found


def find_cautions(loads: Sequence[Load], strains: int, player: Player) -> list[str]:
    """Return cautions where a load is over a published or common limit; none where all is easy."""
    told = []
    for load in loads:
        if load.longest_run_sec > LONG_RUN_SEC:
            told.append(f"{load.hand} hand: {load.longest_run_sec / 60:.0f} minutes without a rest")
        if load.busiest_octaves > MANY_OCTAVES:
            told.append(f"{load.hand} hand: {load.busiest_octaves} octaves in a minute")
        if load.fastest_repeat_hz > player.speeds.finger_hz:
            told.append(f"{load.hand} hand: a key repeated at {load.fastest_repeat_hz:g} a second")
        if load.widest_semitones > player.size(load.hand).comfortable:
            told.append(f"{load.hand} hand: stretches of {load.widest_semitones} semitones")
    if told or strains:
        told.append(CAUTION)
    return told
