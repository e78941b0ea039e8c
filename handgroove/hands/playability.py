"""What can't be played, and what strains: notes against the hand model, whoever wrote them.

The checker shares the model's limits with settling but none of its search: it walks through the notes as they are,
counts what sounds, measures it, and asks the model about every finger.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from handgroove.hands.fingering import find_fingers
from handgroove.hands.hand_model import (
    END,
    EPS,
    FIELDS,
    LONG_AGO,
    MIRROR,
    PITCH,
    TOGETHER_SEC,
    HandModel,
    Obstacle,
    fresh_memory,
    model_of,
)
from handgroove.hands.player import Player
from handgroove.hands.reasons import FINGERS, format_reach, spell
from handgroove.hands.repeats import rest_sec
from handgroove.hands.wishes import Clock, clock_of
from handgroove.part import Note
from handgroove.strike import Hand
from handgroove.timeline import Timeline


class Severity(StrEnum):
    """How bad a trouble is."""

    CANT = "can't be played"
    STRAIN = "strains"


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something at *tick* that can't be played or strains, told in *text*; *hand* is None where both are meant."""

    tick: int
    severity: Severity
    hand: Hand | None
    text: str


def check_notes(notes: Sequence[Note], player: Player, timeline: Timeline) -> tuple[Trouble, ...]:
    """Return all that *player* can't play of *notes*, or plays with strain, in order of time.

    Notes without fingers get the best that can be found first. What overlaps by less than three hundredths of a second
    counts as let go in time.
    """
    clock = clock_of(timeline)
    found: list[Trouble] = []
    for hand in Hand:
        mine = sorted((note for note in notes if note.hand is hand), key=lambda note: note.order)
        model = model_of(player, hand)
        found += _reach(mine, hand, model, clock)
        fingers = find_fingers(mine, player, hand, clock)
        found += _fingers(mine, fingers, hand, model, clock)
        found += _speed(mine, hand, player, clock)
        if hand is Hand.LEFT:
            found += _quick_keys(mine, clock)
    found += _together(notes, player, clock)
    return tuple(sorted(dict.fromkeys(found), key=lambda t: (t.tick, t.hand or "", t.severity, t.text)))


def _reach(notes: Sequence[Note], hand: Hand, model: HandModel, clock: Clock) -> Iterator[Trouble]:
    """Yield where a hand would hold more than five notes, or wider than it reaches."""
    sounding: list[Note] = []
    for note in notes:
        sec = clock(note.tick)
        sounding = [old for old in sounding if old.end_tick > note.tick and not _hair(old, sec, clock)]
        sounding.append(note)
        if len(sounding) > 5:
            yield Trouble(note.tick, Severity.CANT, hand, f"{spell(len(sounding))} notes for five fingers")
        pitches = [old.pitch for old in sounding]
        wide = max(pitches) - min(pitches)
        if wide > model.size.most:
            text = f"{spell(wide)} semitones, over the reach of {format_reach(model.size.most)}"
            yield Trouble(note.tick, Severity.CANT, hand, text)
        elif wide > model.size.comfortable:
            text = f"{spell(wide)} semitones, over the comfortable {format_reach(model.size.comfortable)}"
            yield Trouble(note.tick, Severity.STRAIN, hand, text)


def _hair(old: Note, sec: float, clock: Clock) -> bool:
    """Return whether *old* ends within a hair of a later stroke at *sec*, so that it's let go in time."""
    return clock(old.end_tick) - sec <= TOGETHER_SEC < sec - clock(old.tick)


_TEXT = {
    Obstacle.HELD: "the {finger} still holds another key",
    Obstacle.ORDER: "the {finger} would have to cross a held finger",
    Obstacle.REACH: "the {finger} is too far from a held one",
    Obstacle.REPEAT: "the {finger} can't repeat that soon",
    Obstacle.LEAP: "too far a jump for the time",
    Obstacle.ROCK: "fingers can't alternate that fast",
    Obstacle.KEY: "one key can't be struck that often by one hand",
    Obstacle.RUN: "too many notes a second for one hand",
}


def _fingers(
    notes: Sequence[Note], fingers: Sequence[int], hand: Hand, model: HandModel, clock: Clock
) -> Iterator[Trouble]:
    """Yield where a finger can't do what it is given."""
    memory = fresh_memory()
    views = [note.pitch if hand is Hand.RIGHT else MIRROR - note.pitch for note in notes]
    for note, view, finger in sorted(
        zip(notes, views, fingers, strict=True), key=lambda row: (row[0].tick, row[1])
    ):
        sec = clock(note.tick)
        if not finger:
            yield Trouble(note.tick, Severity.CANT, hand, "there is no finger left")
            continue
        for at in range(0, 5 * FIELDS, FIELDS):  # what's let go by a hair early, or re-struck, is let go
            hair = memory[at + END] - sec <= TOGETHER_SEC < sec - memory[at]
            if hair or (memory[at + PITCH] == view and memory[at] < sec):
                memory[at + END] = min(memory[at + END], sec)
        obstacle = model.obstacle(memory, finger, view, sec)
        if obstacle:
            text = _TEXT[obstacle].format(finger=FINGERS[finger])
            yield Trouble(note.tick, Severity.CANT, hand, text)
        own = (finger - 1) * FIELDS
        memory[own : own + FIELDS] = (sec, view, clock(note.end_tick), 0)


def _speed(notes: Sequence[Note], hand: Hand, player: Player, clock: Clock) -> Iterator[Trouble]:
    """Yield stretches of a second that are faster than what is easy for long: one key, octaves, single notes."""
    speeds = player.speeds
    strokes: list[tuple[float, int, int, int]] = []  # sec, tick, lowest, highest
    for note in notes:
        sec = clock(note.tick)
        if strokes and sec - strokes[-1][0] <= TOGETHER_SEC:
            first, tick, low, high = strokes[-1]
            strokes[-1] = (first, tick, min(low, note.pitch), max(high, note.pitch))
        else:
            strokes.append((sec, note.tick, note.pitch, note.pitch))
    kinds = (
        ("repeats one key", speeds.easy_finger_hz, lambda a, b: a[2:] == b[2:] and a[2] == a[3]),
        ("octaves", speeds.easy_octave_hz, lambda a, b: a[3] - a[2] >= 12 and b[3] - b[2] >= 12),
        ("runs", speeds.easy_run_hz, lambda a, b: True),
    )
    for name, limit_hz, same in kinds:
        row = 0
        for before, after in pairwise(strokes):
            fast = after[0] - before[0] < 1 / limit_hz - 1e-6
            row = row + 1 if fast and same(before, after) else 0
            if row == 4:
                text = f"{name} faster than {limit_hz:g} a second for five strokes and more"
                yield Trouble(after[1], Severity.STRAIN, hand, text)


def _quick_keys(notes: Sequence[Note], clock: Clock) -> Iterator[Trouble]:
    """Yield where the left hand strikes a key twice, or three times, running too fast with any fingers."""
    struck: dict[int, tuple[float, float]] = {}
    for note in notes:
        sec = clock(note.tick)
        last, earlier = struck.get(note.pitch, (LONG_AGO, LONG_AGO))
        if sec - last + EPS < rest_sec(last - earlier):
            text = f"one key {1 / max(sec - last, EPS):.0f} times a second"
            yield Trouble(note.tick, Severity.STRAIN, Hand.LEFT, text)
        struck[note.pitch] = sec, last


def _together(notes: Sequence[Note], player: Player, clock: Clock) -> Iterator[Trouble]:
    """Yield where the hands share a key or cross, or a key is struck faster than any action repeats."""
    sounding: list[Note] = []
    struck: dict[int, Note] = {}
    for note in sorted(notes, key=lambda note: note.order):
        sec = clock(note.tick)
        before = struck.get(note.pitch)
        if before is not None and sec - clock(before.tick) + 1e-6 < 1 / player.speeds.action_hz:
            yield Trouble(note.tick, Severity.CANT, None, "one key struck faster than a piano repeats")
        struck[note.pitch] = note
        sounding = [old for old in sounding if old.end_tick > note.tick]
        for old in sounding:
            if old.hand is note.hand or _hair(old, sec, clock):
                continue
            left, right = (old, note) if old.hand is Hand.LEFT else (note, old)
            if left.pitch == right.pitch:
                yield Trouble(note.tick, Severity.CANT, None, "both hands on one key")
            elif left.pitch > right.pitch and not player.may_cross:
                yield Trouble(note.tick, Severity.CANT, None, "the hands cross")
        sounding.append(note)
