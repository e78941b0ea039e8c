"""How hard a part is, bar by bar and hand by hand: the model's own cost, in time.

Each stroke counts one, each further note of its chord a third, and what its fingering costs adds up to nine tenths;
the sum is divided by the bar's seconds. So the figure reads as strokes a second made heavier by awkwardness: it rises
with the tempo and falls when notes are taken away. That difficulty is cost in time follows E. Nakamura, K. Yoshii
(2018), "Statistical piano reduction controlling performance difficulty", APSIPA Transactions 7:e13, where the cost is
a probability; the weights here are design choices.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from handgroove.hands.fingering import find_steps
from handgroove.hands.player import Player
from handgroove.hands.wishes import clock_of
from handgroove.part import Note
from handgroove.strike import Hand
from handgroove.timeline import Timeline

CHORD_NOTE = 1 / 3
AWKWARD, MOST_AWKWARD = 0.03, 0.9


@dataclass(frozen=True, slots=True)
class BarDifficulty:
    """How hard one bar is for one hand: *figure*, in strokes a second made heavier by awkwardness."""

    bar: int
    hand: Hand
    figure: float


def find_difficulty(notes: Sequence[Note], player: Player, timeline: Timeline) -> list[BarDifficulty]:
    """Return the difficulty of every bar in which a hand plays, in order."""
    clock = clock_of(timeline)
    found = []
    for hand in Hand:
        mine = sorted((note for note in notes if note.hand is hand), key=lambda note: note.order)
        work: dict[int, float] = defaultdict(float)
        for step in find_steps(mine, player, hand, clock):
            before = step.back.cost if step.back is not None else 0.0
            tick = min(mine[sound.note].tick for sound in step.variant.sounds)
            effort = min(AWKWARD * (step.cost - before), MOST_AWKWARD)
            work[timeline.bar_at(tick).start_tick] += 1 + CHORD_NOTE * (len(step.variant.sounds) - 1) + effort
        for start, effort in work.items():
            bar = timeline.bar_at(start)
            seconds = clock(bar.end_tick) - clock(bar.start_tick)
            found.append(BarDifficulty(bar.number, hand, round(effort / seconds, 2)))
    return sorted(found, key=lambda item: (item.bar, item.hand))
