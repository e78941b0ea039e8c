"""The hand model: how far each pair of fingers spans, and what a hand can't do from where its fingers are.

Spans: R. Parncutt, J. Sloboda, E. Clarke, M. Raekallio, P. Desain (1997), "An ergonomic model of keyboard fingering
for melodic fragments", Music Perception 14(4):341-382, Table 1, in semitones from the first finger's key to the
second's (positive = the second plays higher), for the right hand. The left hand is the right one in a mirror:
the keyboard is symmetric about D, so a left hand's pitch p is read as 124 - p and black keys stay black.

Every rule looks at two notes, or at one and what fell between. So leaving notes out never makes a playable passage
unplayable, and what holds for a passage holds for what is left of it. Times are in seconds.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from handgroove.hands.player import HandSize, Player, Speeds
from handgroove.strike import Hand

MIRROR = 124  # twice D4 (62)
TOGETHER_SEC = 0.03
"""Notes this close are one gesture: pianists' chords are 20 to 50 ms apart at most (C. Palmer, 1996, from memory;
about 30 ms of melody lead in W. Goebl, 2001, JASA 110(1))."""

EPS = 1e-6  # ticks become seconds by division; a limit met exactly must hold
BLACK = tuple(pc in (1, 3, 6, 8, 10) for pc in range(12)) * 11


class Span(NamedTuple):
    """A finger pair's spans in semitones: practical, comfortable and relaxed, least and most."""

    min_prac: int
    min_comf: int
    min_rel: int
    max_rel: int
    max_comf: int
    max_prac: int

    @property
    def reversed(self) -> Span:
        """Return the spans with the pair the other way round."""
        return Span(*(-value for value in reversed(self)))


# Parncutt et al. (1997), Table 1. Copies of the table disagree on 1-5's greatest relaxed span: 10 in three, 11 in one.
SPANS = {
    (1, 2): Span(-5, -3, 1, 5, 8, 10),
    (1, 3): Span(-4, -2, 3, 7, 10, 12),
    (1, 4): Span(-3, -1, 5, 9, 12, 14),
    (1, 5): Span(-1, 1, 7, 10, 13, 15),
    (2, 3): Span(1, 1, 1, 2, 3, 5),
    (2, 4): Span(1, 1, 3, 4, 5, 7),
    (2, 5): Span(2, 2, 5, 6, 8, 10),
    (3, 4): Span(1, 1, 1, 2, 2, 4),
    (3, 5): Span(1, 1, 3, 4, 5, 7),
    (4, 5): Span(1, 1, 1, 2, 3, 5),
}
TABLE_SIZE = HandSize(most=15, comfortable=13)
"""The hand that Table 1 describes."""


@lru_cache(maxsize=64)
def scale_spans(size: HandSize) -> dict[tuple[int, int], Span]:
    """Return the spans of every ordered finger pair for a hand of *size*: the table's, in proportion to its reach."""
    practical, comfortable = size.most / TABLE_SIZE.most, size.comfortable / TABLE_SIZE.comfortable
    spans = {(finger, finger): Span(0, 0, 0, 0, 0, 0) for finger in range(1, 6)}
    for (low, high), span in SPANS.items():
        max_prac = max(round(span.max_prac * practical), high - low)
        max_comf = min(max(round(span.max_comf * comfortable), high - low), max_prac)
        max_rel = min(max(round(span.max_rel * comfortable), high - low), max_comf)
        scaled = Span(*span[:2], min(span.min_rel, max_rel), max_rel, max_comf, max_prac)
        spans[low, high] = scaled
        spans[high, low] = scaled.reversed
    return spans


class Obstacle(IntEnum):
    """Why a finger can't play a note."""

    NONE = 0
    HELD = 1  # the finger is holding another note
    ORDER = 2  # a held finger is on the wrong side
    REACH = 3  # a held finger is too far away
    REPEAT = 4  # the same finger, the same key, too soon
    LEAP = 5  # the finger or the hand has too far to go
    ROCK = 6  # the same finger again too soon after another
    KEY = 7  # one key too often, fingers changing
    RUN = 8  # too many strokes a second for one hand


NONE, HELD, ORDER, REACH, REPEAT, LEAP, ROCK, KEY, RUN = Obstacle  # by name: quicker than through the class
LONG_AGO = -1e9
FIELDS = 4  # of a finger in a memory: onset, pitch, end, which note
ONSET, PITCH, END, NOTE = range(FIELDS)
Memory = list[float]
"""What each finger did last, thumb first: onset (sec), pitch (right-hand view), end (sec), note (index), flat."""


def fresh_memory() -> Memory:
    """Return the memory of a hand that has played nothing."""
    return [LONG_AGO, 0.0, LONG_AGO, -1.0] * 5


@dataclass(frozen=True, eq=False)
class HandModel:
    """One hand's limits, ready for use: what its fingers reach from each other and how long things take.

    ``reach[finger][other - 1]`` are the least and most semitones from *other*'s key to *finger*'s; ``others[finger]``
    are the same of all fingers but itself, after the place that each has in a memory.
    """

    size: HandSize
    speeds: Speeds
    spans: dict[tuple[int, int], Span]
    reach: tuple[tuple[tuple[int, int], ...], ...]
    others: tuple[tuple[tuple[int, int, int], ...], ...]
    repeat_sec: float
    rock_sec: float
    key_sec: float
    run_sec: float
    horizon_sec: float
    jumps: tuple[float, float]

    def jump_sec(self, semitones: float) -> float:
        """Return the least time in seconds to move a finger *semitones* beyond where the hand has it."""
        jump_sec, jump_sec_per_semitone = self.jumps
        return jump_sec + jump_sec_per_semitone * semitones

    def obstacle(  # noqa: PLR0911, PLR0912 - the inner loop of everything: one return for each obstacle
        self, memory: Memory, finger: int, pitch: int, sec: float
    ) -> Obstacle:
        """Return what keeps *finger* from striking *pitch* at *sec* seconds after all that *memory* holds."""
        own = (finger - 1) * FIELDS
        sec += EPS
        if memory[own + END] > sec:
            return HELD
        horizon, run_sec, since = self.horizon_sec, self.run_sec, sec - memory[own]
        jump_sec, jump_sec_per_semitone = self.jumps
        if since < horizon:
            if since < self.repeat_sec:
                return REPEAT
            away = abs(pitch - memory[own + PITCH])
            if away and since < jump_sec + jump_sec_per_semitone * away:
                return LEAP
            if since < self.rock_sec and self._rocks(memory, own, sec):
                return ROCK
        busy = True
        for at, low, high in self.others[finger]:
            since = sec - memory[at]
            if since >= run_sec:
                busy = False
            if memory[at + END] > sec:
                away = pitch - memory[at + PITCH]
                if (away > 0) != (own > at) or away == 0:
                    return ORDER
                if not low <= away <= high:
                    return REACH
            elif since <= horizon:
                away = pitch - memory[at + PITCH]
                if away == 0:
                    if since < self.key_sec:
                        return KEY
                elif away > high:
                    if since < jump_sec + jump_sec_per_semitone * (away - high):
                        return LEAP
                elif away < low and since < jump_sec + jump_sec_per_semitone * (low - away):
                    return LEAP
        return RUN if busy and self._is_run(memory, own, sec) else NONE

    def in_the_way(self, memory: Memory, finger: int, pitch: int, sec: float) -> int:
        """Return where in *memory* a held note stands that keeps *finger* from *pitch* and may be let go, or -1.

        What was struck in the same gesture may not.
        """
        own, at = (finger - 1) * FIELDS, -FIELDS
        for low, high in self.reach[finger]:
            at += FIELDS
            if memory[at + END] <= sec or sec - memory[at] <= TOGETHER_SEC:
                continue
            away = pitch - memory[at + PITCH]
            if at == own or (away > 0) != (own > at) or not low <= away <= high:
                return at
        return -1

    def _rocks(self, memory: Memory, own: int, sec: float) -> bool:
        """Return whether another finger has struck since the finger's own last note, neither together with its next."""
        low, high = memory[own] + TOGETHER_SEC, sec - TOGETHER_SEC
        return any(low < onset < high for onset in memory[::FIELDS])

    def _is_run(self, memory: Memory, own: int, sec: float) -> bool:
        """Return whether a stroke at *sec* is one too many, the four other fingers all having struck just before."""
        onsets = sorted([memory[at] for at in (0, 4, 8, 12, 16) if at != own])
        onsets.append(sec)
        return all(later - sooner > TOGETHER_SEC for sooner, later in pairwise(onsets))


@lru_cache(maxsize=64)
def make_model(size: HandSize, speeds: Speeds) -> HandModel:
    """Return the model of a hand of *size* with *speeds*."""
    spans = scale_spans(size)
    fingers = range(1, 6)
    pair = [
        [(spans[other, finger].min_prac, spans[other, finger].max_prac) for other in fingers]
        for finger in fingers
    ]
    reach = ((), *(tuple(row) for row in pair))
    others = tuple(
        tuple((at * FIELDS, low, high) for at, (low, high) in enumerate(row) if at != finger - 1)
        for finger, row in enumerate(reach)
    )
    repeat_sec, rock_sec = 1 / speeds.finger_hz, 2 / speeds.rock_hz
    jumps = speeds.jump_sec, speeds.jump_sec_per_semitone
    run_sec, farthest = 4 / speeds.run_hz, jumps[0] + jumps[1] * 88
    horizon = max(farthest, rock_sec, run_sec, repeat_sec, 1 / speeds.key_hz)
    return HandModel(
        size, speeds, spans, reach, others, repeat_sec, rock_sec, 1 / speeds.key_hz, run_sec, horizon, jumps
    )


def model_of(player: Player, hand: Hand) -> HandModel:
    """Return the model of one *hand* of *player*."""
    return make_model(player.size(hand), player.speeds)
