"""One key, one hand: strokes that come faster than changing fingers can strike, spread or thinned before the search.

No fingering helps there. In a row of quick strokes each takes its own key, or the second or spare key that it was asked
with under another finger (a kick the fifth, a snare the chord tone below or above), or it goes: at the least loss for
the whole row (dynamic programming over when these keys were struck last; linear). It never goes to the octave, where a
kick would say snare and a snare kick. Light strokes (ghosts, grace notes, chords, colour) are worth little and so give
way.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterator, Sequence
from enum import IntEnum
from itertools import pairwise

from handgroove.hands.apart import HIGHEST, LOWEST, move_by
from handgroove.hands.change_lines import GHOST_WEIGHT, Changes
from handgroove.hands.hand_model import TOGETHER_SEC
from handgroove.hands.low_end import is_mud
from handgroove.hands.player import Player, Speeds
from handgroove.hands.reasons import format_rate, name_role
from handgroove.hands.wishes import KEPT_WORTH, Wish
from handgroove.part import Change
from handgroove.strike import Hand, Role

TWICE_SEC, THRICE_SEC = (
    1 / 7,
    1 / 6,
)  # one key by the left hand, with any fingers: not twice at 7 a second, nor three times at 6
SOFTER = 1.2  # a stroke up to so much louder than the one before still counts as the second of the two
SECOND_SHARE = 0.75  # the second finger's loudness beside its neighbours': design choice
FIFTH = 7
_EPS = 1e-6  # a gap that meets the limit exactly is long enough
_IMPOSSIBLE = float("inf")

# Shares of a stroke's worth that are lost: design choices.
_SOFT_SECOND, _LOUD_SECOND = 0.1, 0.35  # on the second key: as the softer of two, or as the louder
_OWN_SHARE = 0.1  # of such a loss that is of the stroke's own worth, the rest of its lesser neighbour's
_CROWDED = 0.3  # of the lighter one: a ghost and a main stroke sooner on one key than one finger can


class _Key(IntEnum):
    """What becomes of a stroke in a quick row."""

    OWN = 0
    SECOND = 1
    SPARE = 2
    GONE = 3


# Which stroke struck the own key last, and before that, and the second key, and the spare key (-1 = none).
_State = tuple[int, int, int, int]


def rest_sec(gap_sec: float) -> float:
    """Return how long the left hand lets a key rest that it struck twice within *gap_sec* (seconds)."""
    return THRICE_SEC if gap_sec + _EPS < THRICE_SEC else TWICE_SEC


def thin_repeats(
    wishes: Sequence[Wish], player: Player, changes: Changes, *, may_move: bool = True
) -> list[Wish]:
    """Return one hand's *wishes* (in order) without strokes that would strike a key again too soon for *player*.

    Some are moved to their second or spare keys, if they *may_move*; *changes* gets what goes and what moves.
    """
    found, speeds = list(wishes), player.speeds
    for moves in (
        (True, False) if may_move else (False,)
    ):  # once more for strokes that moved to a key that is busy too
        gone: set[int] = set()
        is_moved = False
        keys = _Keys(found, player) if moves else None
        for row in sorted(_quick_rows(found, speeds), key=lambda row: -max(wish.worth for wish in row)):
            moved, lost = _spread(row, speeds, changes, keys)
            is_moved, gone = is_moved or moved, gone | lost
        if gone or is_moved:
            found = sorted((w for w in found if id(w) not in gone), key=lambda w: (w.tick, w.pitch))
        if not is_moved:
            break
    return found


def _quick_rows(wishes: Sequence[Wish], speeds: Speeds) -> Iterator[list[Wish]]:
    """Yield the rows of two and more strokes on one key that come too quickly for one finger."""
    row_sec = _window(speeds)
    rows: dict[int, list[Wish]] = {}
    for wish in wishes:
        row = rows.get(wish.pitch)
        if row is not None and wish.sec - row[-1].sec + _EPS < row_sec:
            row.append(wish)
            continue
        if row is not None and len(row) > 1:
            yield row
        rows[wish.pitch] = [wish]
    yield from [row for row in rows.values() if len(row) > 1]


class _Keys:
    """When each key is struck by all of one hand's *wishes*, so that strokes only move where there is room."""

    def __init__(self, wishes: Sequence[Wish], player: Player) -> None:
        self._player = player
        self._struck: dict[int, list[float]] = {}
        for wish in wishes:
            if not wish.grace:
                self._struck.setdefault(wish.pitch, []).append(wish.sec)
        self._barred: dict[int, list[int]] = {}  # for each key, which may not sound with it

    def is_free(self, wish: Wish, other: int) -> bool:
        """Return whether *wish* can move to the key *other*: nothing else wants or muddies it then, or is too far."""
        rest = TWICE_SEC if wish.hand is Hand.LEFT else 1 / self._player.speeds.key_hz
        if not LOWEST <= other <= HIGHEST or wish.grace or self._is_struck(other, wish.sec, rest):
            return False
        if other not in self._barred:
            most = self._player.size(wish.hand).most
            self._barred[other] = [p for p in self._struck if abs(p - other) > most or is_mud(p, other)]
        barred = self._barred[other]
        return not any(p != wish.pitch and self._is_struck(p, wish.sec, TOGETHER_SEC) for p in barred)

    def leave(self, wish: Wish) -> None:
        """Note that *wish* does not strike its key."""
        struck = self._struck[wish.pitch]
        del struck[bisect_left(struck, wish.sec)]

    def move(self, wish: Wish, other: int) -> None:
        """Note that *wish* moves to the key *other*, which is struck already or not."""
        self.leave(wish)
        if other not in self._struck:
            self._struck[other] = []
            self._barred.clear()
        insort(self._struck[other], wish.sec)

    def _is_struck(self, pitch: int, sec: float, near_sec: float) -> bool:
        struck = self._struck.get(pitch, ())
        at = bisect_left(struck, sec - near_sec + _EPS)
        return at < len(struck) and struck[at] < sec + near_sec - _EPS


def _window(speeds: Speeds) -> float:
    """Return the seconds after which a stroke has no bearing on the next one on its key."""
    return max(1 / speeds.finger_hz, 1 / speeds.key_hz, THRICE_SEC)


def is_light(wish: Wish) -> bool:
    """Return whether *wish* may go for the sake of a quick neighbour on its key."""
    if wish.worth >= KEPT_WORTH:
        return False
    if wish.role is Role.KICK:  # a soft one too: the little finger's fifth is there for it
        return wish.grace
    return wish.grace or wish.weight < GHOST_WEIGHT or wish.role in (Role.COMPING, Role.COLOUR)


def _spread(
    row: Sequence[Wish], speeds: Speeds, changes: Changes, keys: _Keys | None
) -> tuple[bool, set[int]]:
    """Move strokes of a quick *row* to other *keys* that are free; return whether any moved, and which go."""
    if not any(_own_loss(row[at], row[max(0, at - 2) : at][::-1], speeds) for at in range(1, len(row))):
        return False, set()
    is_moved, gone = False, set()
    quickest = min(after.sec - before.sec for before, after in pairwise(row))
    for at, key in enumerate(_choose(row, speeds, keys)):
        wish = row[at]
        if key in (_Key.SECOND, _Key.SPARE):
            since = min(
                abs(wish.sec - other.sec) for other in row[max(0, at - 1) : at + 2] if other is not wish
            )
            loudest = max(other.velocity for other in row[max(0, at - 1) : at + 2] if other is not wish)
            other = wish.second if key is _Key.SECOND else wish.spare
            if keys is not None:
                keys.move(wish, other)
            _take_other(wish, other, since, loudest, changes)
            is_moved = True
        elif key is _Key.GONE:
            gone.add(id(wish))
            if keys is not None and not wish.grace:
                keys.leave(wish)
            rate = format_rate(quickest)
            can = quickest + _EPS >= 1 / speeds.key_hz
            why = "too quick for one key" if can else "one hand can't strike a key that often"
            reason = f"{name_role(wish.role)}s at {rate}: {why}"
            changes.add(wish, Change.LEFT_OUT, reason)
    return is_moved, gone


def _take_other(wish: Wish, other: int, since_sec: float, loudest: int, changes: Changes) -> None:
    """Let another finger strike *wish*'s *other* key, softer than the *loudest* stroke beside it."""
    up, finger = other - wish.pitch, 2 if wish.role is Role.KICK else 0
    where = f"the fifth {'above' if up > 0 else 'below'}" if abs(up) == FIFTH else "the note beside it"
    who = "the second finger" if finger else "another finger"
    reason = f"second {wish.role} at {format_rate(since_sec)} on one key: {who} takes {where}"
    changes.add(wish, Change.MOVED, reason)
    move_by(wish, up)
    wish.finger, wish.second, wish.spare = finger, -1, -1
    wish.velocity = min(wish.velocity, max(1, round(SECOND_SHARE * loudest)))


def _own_loss(wish: Wish, before: Sequence[Wish], speeds: Speeds) -> float:
    """Return the loss when *wish* strikes its key after *before* (latest first), infinite where no hand can."""
    if not before:
        return 0.0
    since = wish.sec - before[0].sec + _EPS
    if since < 1 / speeds.key_hz:
        return _IMPOSSIBLE
    if wish.hand is Hand.LEFT:
        gap_sec = before[0].sec - before[1].sec if len(before) > 1 else THRICE_SEC
        if since < rest_sec(gap_sec):
            return _IMPOSSIBLE
    if since < 1 / speeds.finger_hz and is_light(wish) != is_light(before[0]):
        return _CROWDED * min(wish.worth, before[0].worth)
    return 0.0


def _other_loss(row: Sequence[Wish], at: int) -> float:
    """Return the loss when the stroke *at* takes another key than its own."""
    wish = row[at]
    if is_light(wish):
        return _SOFT_SECOND * wish.worth
    # However much a stroke matters, that it moves is never so bad as that its neighbour goes.
    least = min(other.worth for other in row[max(0, at - 1) : at + 2] if not is_light(other))
    worth = (1 - _OWN_SHARE) * least + _OWN_SHARE * wish.worth
    before = row[at - 1].velocity if at else 0
    return (_SOFT_SECOND if wish.velocity <= SOFTER * before else _LOUD_SECOND) * worth


def _choose(row: Sequence[Wish], speeds: Speeds, keys: _Keys | None) -> list[_Key]:
    """Return what becomes of each stroke of *row*, at the least loss."""
    key_sec, window = 1 / speeds.key_hz, _window(speeds)
    far = 2 * window
    start = (-1, -1, -1, -1)
    losses: dict[_State, float] = {start: 0.0}
    trails: list[dict[_State, tuple[_State, _Key]]] = []
    for at, wish in enumerate(row):
        has_second, has_spare = (
            keys is not None and keys.is_free(wish, key) for key in (wish.second, wish.spare)
        )
        rest = TWICE_SEC if wish.hand is Hand.LEFT else key_sec
        found: dict[_State, float] = {}
        trail: dict[_State, tuple[_State, _Key]] = {}
        for state, loss in losses.items():
            # What was struck long ago has no bearing.
            own, earlier, second, spare = (i if i >= 0 and wish.sec - row[i].sec < far else -1 for i in state)
            if own < 0 or wish.sec - row[own].sec >= window:
                own = earlier = -1
            before = [row[index] for index in (own, earlier) if index >= 0]
            ways = [
                (_Key.OWN, _own_loss(wish, before, speeds), (at, own, second, spare)),
                (_Key.GONE, wish.worth, (own, earlier, second, spare)),
            ]
            if has_second and (second < 0 or wish.sec - row[second].sec + _EPS >= rest):
                ways.append((_Key.SECOND, _other_loss(row, at), (own, earlier, at, spare)))
            if has_spare and (spare < 0 or wish.sec - row[spare].sec + _EPS >= rest):
                ways.append((_Key.SPARE, _other_loss(row, at), (own, earlier, second, at)))
            for key, lost, after in ways:
                if loss + lost < found.get(after, _IMPOSSIBLE):
                    found[after] = loss + lost
                    trail[after] = state, key
        losses = found
        trails.append(trail)
    state = min(losses, key=losses.__getitem__)
    chosen = []
    for trail in reversed(trails):
        state, key = trail[state]
        chosen.append(key)
    return chosen[::-1]
