"""What a hand is asked, key by key: strikes taken apart into wishes, each one pitch, tidied before the search.

A wish can still be changed; a note can't. What needs no choice is done here: a struck key ends the note that it held,
a strike *until_next* ends where its hand strikes next, two strokes on one key in one gesture are one.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence

from handgroove.hands.hand_model import MIRROR, TOGETHER_SEC
from handgroove.hands.player import Player
from handgroove.part import Note
from handgroove.strike import RIGHT, Asked, Hand, Role
from handgroove.timeline import TICKS_PER_QUARTER, Timeline

Clock = Callable[[int], float]


class Wish:
    """One pitch that a hand is asked to play, and how much would be lost without it (*worth*)."""

    __slots__ = (
        "end_sec",
        "end_tick",
        "finger",
        "grace",
        "hand",
        "hits",
        "pitch",
        "place",
        "role",
        "sec",
        "second",
        "spare",
        "strike",
        "tick",
        "until_next",
        "velocity",
        "view",
        "weight",
        "worth",
    )

    def __init__(  # noqa: PLR0913, PLR0917 - a record, written out for speed
        self,
        tick: int,
        end_tick: int,
        pitch: int,
        velocity: int,
        hand: Hand,
        role: Role,
        finger: int,
        hits: tuple[int, ...],
        weight: float,
        grace: bool,
        place: int | None = None,
    ) -> None:
        self.place = tick if place is None else place
        self.tick, self.end_tick, self.pitch, self.velocity = tick, end_tick, pitch, velocity
        self.hand, self.role, self.finger, self.hits = hand, role, finger, hits
        self.weight, self.grace = weight, grace
        self.view = pitch if hand is RIGHT else MIRROR - pitch
        self.sec = self.end_sec = self.worth = 0.0
        self.until_next = False
        self.strike = self.second = self.spare = -1

    def end_at(self, tick: int, sec: float) -> None:
        """End the wish at *tick*, which is *sec* seconds."""
        self.end_tick, self.end_sec = tick, sec

    def note(self) -> Note:
        """Return the wish as a note."""
        length = self.end_tick - self.tick
        return Note(
            self.tick, length if length > 0 else 1, self.pitch, self.velocity, self.hand, self.role, self.finger,
            self.hits, self.weight, self.grace, self.place,
        )  # fmt: skip


def clock_of(timeline: Timeline) -> Clock:
    """Return the function from ticks to seconds; one multiplication where there is one tempo."""
    if len(timeline.tempos) > 1:
        return timeline.tick_to_sec
    factor = timeline.tempos[0].quarter_us / (1e6 * TICKS_PER_QUARTER)
    return lambda tick: tick * factor


# What a note of a role is worth, most important first: each twice the next, so that an accented stroke of one role
# outweighs a whole chord of a lesser one, and a ghost is worth less than a main stroke of the next. Design choice.
_WORTH = (32.0, 16.0, 8.0, 4.0, 2.0, 1.0)
GRACE_WORTH = 0.4
KEPT_WORTH = 1000.0  # added to what the user says to keep: it outweighs all else


def worth_of(player: Player, role: Role, weight: float, velocity: int, grace: bool) -> float:
    """Return what a note is worth to *player*: its role's place in the order, its weight, and a little its loudness."""
    place = player.order.index(role) if role in player.order else len(_WORTH) - 1
    worth = _WORTH[min(place, len(_WORTH) - 1)] * weight * (0.75 + velocity / 508)
    return worth * GRACE_WORTH if grace else worth


def take_apart(asked: Iterable[Asked], player: Player, clock: Clock) -> list[Wish]:
    """Return the wishes of all strikes, in order of time and pitch."""
    wishes = []
    for index, item in enumerate(asked):
        strike, tick = item.strike, item.tick
        sec, end_tick = clock(tick), tick + max(1, strike.hold_ticks)
        end_sec = clock(end_tick)
        worth = worth_of(player, strike.role, strike.weight, strike.velocity, strike.grace)
        fingers = strike.fingers
        ends = item.ends
        for number, pitch in enumerate(strike.pitches):
            finger = fingers[number] if fingers else 0
            end = ends[number] if ends else end_tick
            wish = Wish(
                tick, end, pitch, strike.velocity, strike.hand, strike.role, finger,
                item.hits, strike.weight, strike.grace, item.place,
            )  # fmt: skip
            wish.sec, wish.worth = sec, worth
            wish.end_sec = end_sec if end == end_tick else clock(end)
            wish.until_next, wish.strike = strike.until_next, index
            if len(strike.pitches) == 1:
                wish.second, wish.spare = strike.second, strike.spare
            wishes.append(wish)
    wishes.sort(key=lambda wish: (wish.tick, wish.pitch))
    return wishes


def merge_strokes(wishes: Sequence[Wish]) -> list[Wish]:
    """Return one hand's wishes, in order, with two strokes on one key in one gesture made one."""
    kept: list[Wish] = []
    on_key: dict[int, Wish] = {}
    for wish in wishes:
        before = on_key.get(wish.pitch)
        if before is not None and wish.sec - before.sec <= TOGETHER_SEC:
            _merge(before, wish)
        else:
            on_key[wish.pitch] = wish
            kept.append(wish)
    return kept


def _merge(first: Wish, second: Wish) -> None:
    """Let *first* stand for *second* too: one key, one gesture."""
    first.hits = tuple(sorted({*first.hits, *second.hits})) if second.hits else first.hits
    if second.worth > first.worth:
        first.second, first.spare = second.second, second.spare
        first.role, first.weight, first.worth = second.role, second.weight, second.worth
        first.finger = second.finger or first.finger
    first.velocity = max(first.velocity, second.velocity)
    if second.end_tick > first.end_tick:
        first.end_at(second.end_tick, second.end_sec)


def end_at_next(wishes: Sequence[Wish]) -> None:
    """End what is held until the hand's next stroke there, and each note where its key is struck again.

    What overlaps a later stroke by no more than a hair is trimmed: fingers let go that early anyway.
    """
    on_key: dict[int, Wish] = {}
    for wish in wishes:
        before = on_key.get(wish.pitch)
        if before is not None and before.end_tick > wish.tick:
            before.end_at(wish.tick, wish.sec)
        on_key[wish.pitch] = wish
    onsets = [wish.sec for wish in wishes]
    count = len(wishes)
    for wish in wishes:
        after = bisect_right(onsets, wish.sec + TOGETHER_SEC)
        if wish.until_next:
            if after < count and wishes[after].tick < wish.end_tick:
                wish.end_at(wishes[after].tick, wishes[after].sec)
            wish.until_next = False
            continue
        while after < count and onsets[after] < wish.end_sec:
            at = bisect_right(onsets, wish.end_sec - TOGETHER_SEC, lo=after)
            if at == count or wishes[at].tick >= wish.end_tick:
                break
            wish.end_at(wishes[at].tick, wishes[at].sec)
