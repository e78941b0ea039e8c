"""The causal guard: what two hands can play of a strike that arrives this moment. It never looks ahead.

It uses the same model as settling, so whatever it lets through passes the checker too. It has no clock: the time is
handed in, in seconds, and never runs back. A strike that doesn't fit is played with other fingers, thinned, or left
out; what a hand holds is let go where the new strike needs it. The work for a strike is bounded: a few fingerings of
a few thinnings of at most five notes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from handgroove.hands.apart import HIGHEST, LOWEST
from handgroove.hands.finger_costs import Shape, make_costs
from handgroove.hands.hand_model import (
    END,
    EPS,
    FIELDS,
    LONG_AGO,
    MIRROR,
    ONSET,
    PITCH,
    TOGETHER_SEC,
    Memory,
    Obstacle,
    fresh_memory,
)
from handgroove.hands.low_end import OUT_OF_IT, is_mud
from handgroove.hands.player import Player
from handgroove.hands.reasons import FINGERS, format_reach, name_role
from handgroove.hands.repeats import SECOND_SHARE, rest_sec
from handgroove.hands.wishes import worth_of
from handgroove.part import Change, Omission
from handgroove.strike import Hand, Strike

FOREVER = 1e12
TRIES = 3  # fingerings tried of each thinning


@dataclass(frozen=True, slots=True)
class Press:
    """A key to press now: until *end_sec* (seconds), or until the guard says to let go where that is `FOREVER`."""

    pitch: int
    velocity: int
    hand: Hand
    finger: int
    end_sec: float


@dataclass(frozen=True, slots=True)
class Admission:
    """The guard's answer to a strike: keys to let go first (*releases*), keys to *presses*, and what was changed."""

    presses: tuple[Press, ...]
    releases: tuple[tuple[Hand, int], ...] = ()
    omissions: tuple[Omission, ...] = ()


@dataclass(slots=True)
class _HandState:
    """One hand now: its fingers' memory, and for each finger whether it holds until the next stroke, and its worth."""

    memory: Memory
    until_next: list[bool]
    worth: list[float]
    last_position: float = 0.0


class Guard:
    """Lets through what *player*'s hands can do, strike by strike."""

    def __init__(self, player: Player) -> None:
        self.player = player
        self._costs = {hand: make_costs(player.size(hand), player.speeds) for hand in Hand}
        self._hands = {hand: _HandState(fresh_memory(), [False] * 5, [0.0] * 5) for hand in Hand}
        self._action_sec = 1 / player.speeds.action_hz
        self._left_keys: dict[int, tuple[float, float]] = {}  # when each was struck last, and before that

    def admit(self, strike: Strike, now_sec: float, hold_sec: float, *, tick: int = 0) -> Admission:
        """Return what is played of *strike* at *now_sec*, held *hold_sec* seconds; *tick* dates the omissions."""
        hand = strike.hand
        releases = self._end_before(hand, now_sec)
        if strike.second >= 0 and self._is_too_quick(strike, now_sec):
            moved = self._admit_second(strike, now_sec, hold_sec, tick)
            if moved.presses:
                return replace(moved, releases=(*releases, *moved.releases))
            releases += moved.releases
        worth = worth_of(self.player, strike.role, strike.weight, strike.velocity, strike.grace)
        end_sec = FOREVER if strike.until_next else now_sec + hold_sec
        omissions: list[Omission] = []
        free = []
        for place, pitch in enumerate(strike.pitches):
            reason = (
                self._kept_from(hand, pitch, now_sec, worth, releases)
                or self._repeats(hand, pitch, now_sec)
                or self._muddies(pitch, now_sec, releases)
            )
            if reason:
                omissions.append(self._line(strike, tick, reason))
            else:
                free.append(place)
        if not free:
            return Admission((), tuple(releases), tuple(omissions))
        return self._fit(strike, free, now_sec, end_sec, worth, releases, omissions, tick)

    def _is_too_quick(self, strike: Strike, now_sec: float) -> bool:
        """Return whether *strike*'s one key was struck too short a time ago for the finger that it asks for."""
        hand, own = strike.hand, strike.fingers[0] if strike.fingers else 0
        if self._repeats(hand, strike.pitches[0], now_sec):
            return True
        (view,) = self._views(strike.pitches[:1], hand)
        model, memory = self._costs[hand].model, self._hands[hand].memory
        for finger in range(1, 6):
            at = (finger - 1) * FIELDS
            limit_sec = model.repeat_sec if finger == own else model.key_sec
            if memory[at + PITCH] == view and now_sec - memory[at + ONSET] < limit_sec - 1e-6:
                return True
        return False

    def _admit_second(self, strike: Strike, now_sec: float, hold_sec: float, tick: int) -> Admission:
        """Return what is played of *strike* when the second finger takes its second key, softer."""
        softer = max(1, round(SECOND_SHARE * strike.velocity))
        other = replace(strike, pitches=(strike.second,), fingers=(2,), velocity=softer, second=-1)
        admitted = self.admit(other, now_sec, hold_sec, tick=tick)
        reason = (
            f"another {name_role(strike.role)} sooner than one finger can repeat; the second finger takes it"
        )
        line = self._line(strike, tick, reason, Change.REFINGERED)
        return replace(admitted, omissions=(line, *admitted.omissions))

    def release(self, hand: Hand, pitch: int, now_sec: float) -> None:
        """Note that somebody else let the key *pitch* of *hand* go at *now_sec* (a panic, a stop)."""
        memory = self._hands[hand].memory
        view = pitch if hand is Hand.RIGHT else MIRROR - pitch
        for at in range(0, 5 * FIELDS, FIELDS):
            if memory[at + PITCH] == view and memory[at + END] > now_sec:
                memory[at + END] = now_sec

    def _views(self, pitches: Sequence[int], hand: Hand) -> tuple[int, ...]:
        return tuple(pitches) if hand is Hand.RIGHT else tuple(MIRROR - pitch for pitch in reversed(pitches))

    def _end_before(self, hand: Hand, now_sec: float) -> list[tuple[Hand, int]]:
        """Let go of what *hand* holds until its next stroke, which is now, or ends within a hair; return which keys."""
        state = self._hands[hand]
        releases: list[tuple[Hand, int]] = []
        memory = state.memory
        for finger in range(5):
            at = finger * FIELDS
            end = memory[at + END]
            if end <= now_sec or now_sec - memory[at + ONSET] <= TOGETHER_SEC:
                continue
            if state.until_next[finger] or end - now_sec <= TOGETHER_SEC:
                self._let_go(hand, at, now_sec, releases)
        return releases

    def _let_go(self, hand: Hand, at: int, now_sec: float, releases: list[tuple[Hand, int]]) -> None:
        memory = self._hands[hand].memory
        view = int(memory[at + PITCH])
        memory[at + END] = now_sec
        releases.append((hand, view if hand is Hand.RIGHT else MIRROR - view))

    def _kept_from(
        self, hand: Hand, pitch: int, now_sec: float, worth: float, releases: list[tuple[Hand, int]]
    ) -> str:
        """Return why *hand* must not strike *pitch* because of the other hand, or nothing; the lesser gives way."""
        if not LOWEST <= pitch <= HIGHEST:
            return "the piano has no such key"
        other = self._hands[hand.other]
        memory = other.memory
        for finger in range(5):
            at = finger * FIELDS
            view = int(memory[at + PITCH])
            theirs = view if hand is Hand.LEFT else MIRROR - view
            onset = memory[at + ONSET]
            if theirs == pitch and now_sec - onset < self._action_sec + 1e-6:
                return "the other hand has just struck that key"
            if memory[at + END] <= now_sec:
                continue
            crosses = theirs < pitch if hand is Hand.LEFT else theirs > pitch
            if theirs != pitch and (not crosses or self.player.may_cross):
                continue
            if now_sec - onset <= TOGETHER_SEC or other.worth[finger] >= 4 * worth:
                return "the hands would cross" if theirs != pitch else "the other hand holds that key"
            self._let_go(hand.other, at, now_sec, releases)
        return ""

    def _repeats(self, hand: Hand, pitch: int, now_sec: float) -> str:
        """Return why the left *hand* must not strike *pitch* again so soon, with any finger, or nothing."""
        if hand is Hand.RIGHT or pitch not in self._left_keys:
            return ""
        last, earlier = self._left_keys[pitch]
        return "too quick for one key" if now_sec - last + EPS < rest_sec(last - earlier) else ""

    def _muddies(self, pitch: int, now_sec: float, releases: list[tuple[Hand, int]]) -> str:
        """Return why *pitch* would be mud with what was struck just now, or nothing; what is held is let go."""
        if pitch >= OUT_OF_IT:
            return ""
        for hand in Hand:
            memory = self._hands[hand].memory
            for at in range(0, 5 * FIELDS, FIELDS):
                view = int(memory[at + PITCH])
                if memory[at + END] > now_sec and is_mud(
                    view if hand is Hand.RIGHT else MIRROR - view, pitch
                ):
                    if now_sec - memory[at + ONSET] <= TOGETHER_SEC:
                        return "too close to another low note to be clear"
                    self._let_go(hand, at, now_sec, releases)
        return ""

    def _fit(
        self,
        strike: Strike,
        free: list[int],
        now_sec: float,
        end_sec: float,
        worth: float,
        releases: list[tuple[Hand, int]],
        omissions: list[Omission],
        tick: int,
    ) -> Admission:
        """Return the fullest of *strike* that the hand can play: as asked, with other fingers, or thinned."""
        hand, state = strike.hand, self._hands[strike.hand]
        places = free if hand is Hand.RIGHT else free[::-1]
        views = self._views([strike.pitches[place] for place in free], hand)
        asked = tuple(strike.fingers[place] if strike.fingers else 0 for place in places)
        obstacle = Obstacle.NONE
        for thinned, fixed in _thinnings(views):
            wanted = tuple(asked[i] for i in thinned) if fixed else (0,) * len(thinned)
            low = views[thinned[0]]
            shapes = self._costs[hand].shapes(tuple(views[i] for i in thinned), wanted)[:8]
            for shape in sorted(shapes, key=lambda s: s.cost + abs(low + s.position - state.last_position))[
                :TRIES
            ]:
                got = self._try(hand, [views[i] for i in thinned], shape, now_sec, end_sec)
                if isinstance(got, Obstacle):
                    obstacle = obstacle or got
                    continue
                for at in got:
                    self._let_go(hand, at, now_sec, releases)
                presses = self._press(strike, [views[i] for i in thinned], shape, now_sec, end_sec, worth)
                reason = _REASONS[obstacle].format(name=name_role(strike.role), reach=self._reach(hand))
                if len(thinned) < len(places):
                    gone = len(places) - len(thinned)
                    omissions.append(
                        self._line(strike, tick, f"{reason}; {gone} of {len(places)} notes left out")
                    )
                elif any(w and w != f for w, f in zip(asked, shape.fingers, strict=True)):
                    fingers = " and ".join(FINGERS[finger] for finger in shape.fingers)
                    line = self._line(strike, tick, f"{reason}; played with the {fingers}", Change.REFINGERED)
                    omissions.append(line)
                return Admission(presses, tuple(releases), tuple(omissions))
        reason = _REASONS[obstacle].format(name=name_role(strike.role), reach=self._reach(hand))
        omissions.append(self._line(strike, tick, reason))
        return Admission((), tuple(releases), tuple(omissions))

    def _reach(self, hand: Hand) -> str:
        return format_reach(self.player.size(hand).most)

    def _try(
        self, hand: Hand, views: list[int], shape: Shape, now_sec: float, end_sec: float
    ) -> list[int] | Obstacle:
        """Return where in the hand's memory notes must be let go so that *shape* can be played, or what forbids it."""
        model = self._costs[hand].model
        memory = self._hands[hand].memory.copy()
        cut: list[int] = []
        for view, finger in zip(views, shape.fingers, strict=True):
            obstacle = model.obstacle(memory, finger, view, now_sec)
            while obstacle and obstacle <= Obstacle.REACH:
                at = model.in_the_way(memory, finger, view, now_sec)
                if at < 0:
                    return obstacle
                memory[at + END] = now_sec
                cut.append(at)
                obstacle = model.obstacle(memory, finger, view, now_sec)
            if obstacle:
                return obstacle
            own = (finger - 1) * FIELDS
            memory[own : own + FIELDS] = (now_sec, view, end_sec, 0)
        return cut

    def _press(
        self, strike: Strike, views: list[int], shape: Shape, now_sec: float, end_sec: float, worth: float
    ) -> tuple[Press, ...]:
        """Put the fingers down and return the keys."""
        hand, state = strike.hand, self._hands[strike.hand]
        presses = []
        for view, finger in zip(views, shape.fingers, strict=True):
            own = (finger - 1) * FIELDS
            state.memory[own : own + FIELDS] = (now_sec, view, end_sec, 0)
            state.until_next[finger - 1] = strike.until_next
            state.worth[finger - 1] = worth
            pitch = view if hand is Hand.RIGHT else MIRROR - view
            if hand is Hand.LEFT:
                self._left_keys[pitch] = now_sec, self._left_keys.get(pitch, (LONG_AGO, LONG_AGO))[0]
            presses.append(Press(pitch, strike.velocity, hand, finger, end_sec))
        state.last_position = views[0] + shape.position
        return tuple(presses)

    def _line(self, strike: Strike, tick: int, reason: str, change: Change = Change.LEFT_OUT) -> Omission:
        return Omission(tick, change, name_role(strike.role), reason, strike.hand)


_REASONS = {
    Obstacle.NONE: "no five fingers lie that way: the reach is {reach}",
    Obstacle.HELD: "every finger that could is holding a note",
    Obstacle.ORDER: "the fingers would have to cross",
    Obstacle.REACH: "farther apart than {reach}",
    Obstacle.REPEAT: "another {name} sooner than one finger can repeat",
    Obstacle.LEAP: "too far a jump for the time",
    Obstacle.ROCK: "fingers can't take turns that fast",
    Obstacle.KEY: "one hand can't strike a key that often",
    Obstacle.RUN: "more notes a second than a hand can run",
}


def _thinnings(views: Sequence[int]) -> Iterator[tuple[tuple[int, ...], bool]]:
    """Yield which of a strike's notes to try, fullest first, and whether to keep to the asked fingers."""
    count = len(views)
    whole = tuple(range(count))
    yield whole, True
    yield whole, False
    # The outer note matters most: the tune's side for the right hand, the bass for the left. In the hand's own view
    # both are the highest.
    if count > 3:
        yield (0, count // 2, count - 1), False
    if count > 2:
        yield (0, count - 1), False
    for first in range(1, count):
        yield whole[first:], False
    if count > 1:
        yield (0,), False
