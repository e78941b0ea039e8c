"""What the engine is set up with, and the two ends of its wires."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from handgroove.groove.kit import GENERAL_MIDI, Kit
from handgroove.harmony.chord import Chord
from handgroove.live.core.changes import At, StageChange
from handgroove.live.core.messages import Message
from handgroove.strike import Hand

BOTH_HANDS = frozenset(Hand)


class Source(StrEnum):
    """Where a message comes from."""

    DRUMS = "drums"
    KEYS = "keys"
    CLOCK = "clock"
    CONTROLS = "controls"


class Sink(StrEnum):
    """Where a message goes to."""

    PIANO = "piano"
    CLOCK = "clock out"
    CLICK = "click"


Out = tuple[Sink, Message]


@dataclass(frozen=True, slots=True)
class Setup:
    """How a session is played. Channels run from 0 to 15; *drum_channel* None takes hits on every channel.

    *changes_at* says when changes are taken. *follow* takes the tempo from MIDI clock, *send_clock* sends it. With
    *thru* what the player plays goes out too. *pass_other* passes on what is neither note nor control.
    """

    tempo_bpm: float = 100.0
    channel: int = 0
    drum_channel: int | None = None
    kit: Kit = GENERAL_MIDI
    hands: frozenset[Hand] = BOTH_HANDS
    volume: float = 1.0
    transpose: int = 0
    changes_at: At = At.BAR
    count_in_bars: int = 0
    follow: bool = False
    send_clock: bool = False
    thru: bool = False
    pass_other: bool = False
    seed: int = 0


class ChordEar(Protocol):
    """Hears which chord the held keys make."""

    def press(self, pitch: int, now_sec: float) -> None:
        """Take a key going down."""

    def release(self, pitch: int, now_sec: float) -> None:
        """Take a key coming up."""

    def chord(self, now_sec: float) -> Chord | None:
        """Return the chord at *now_sec*, or None before the first."""

    def clear(self) -> None:
        """Forget every key."""


class Bindings(Protocol):
    """Which controls do what."""

    def find(self, source: Source, message: Message) -> Sequence[StageChange] | None:
        """Return what *message* does, or None when no control is bound to it."""


class NoBindings:
    """No control does anything."""

    def find(self, source: Source, message: Message) -> None:
        """Return None: no control is bound."""
