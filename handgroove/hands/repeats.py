"""One key, one hand: strokes that come faster than changing fingers can strike, spread or thinned before the search.

No fingering helps there. The softer of two strokes that come too soon on one key goes to the second key that it was
asked with, under another finger (a kick to the fifth, a snare to the step below), and never to the octave, where a kick
would say snare and a snare kick. Where there is no such key, light strokes (ghosts, grace notes, chords, colour) give
way to a main one too near, and the softer of two main ones goes; of those left the ones that are worth most together
stay (dynamic programming over the cluster; linear).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from itertools import pairwise

from handgroove.hands.apart import HIGHEST, LOWEST, move_by
from handgroove.hands.change_lines import GHOST_WEIGHT, Changes
from handgroove.hands.player import Speeds
from handgroove.hands.reasons import format_rate, name_role
from handgroove.hands.wishes import KEPT_WORTH, Wish
from handgroove.part import Change
from handgroove.strike import Hand, Role

TWICE_SEC, THRICE_SEC = (
    1 / 7,
    1 / 6,
)  # kicks on one key: not twice at 7 a second, nor three times at 6 (fingers tire)
SOFTER = 1.2  # a stroke up to so much louder than the one before still counts as the second of the two
SECOND_SHARE = 0.75  # the second finger's loudness beside the other stroke's: design choice
FIFTH = 7
_EPS = 1e-6  # a gap that meets the limit exactly is long enough


def thin_repeats(wishes: Sequence[Wish], speeds: Speeds, changes: Changes) -> list[Wish]:
    """Return one hand's *wishes* (in order) without light strokes that would strike a key again within *key_sec*.

    Main ones are moved an octave where that key is free; *changes* gets what goes and what moves.
    """
    key_sec = 1 / speeds.key_hz
    wishes = _spread(wishes, speeds, changes)
    clusters: dict[int, list[Wish]] = {}
    gone: set[int] = set()
    for wish in wishes:
        cluster = clusters.get(wish.pitch)
        if cluster is not None and wish.sec - cluster[-1].sec + _EPS < key_sec:
            cluster.append(wish)
            continue
        if cluster is not None and len(cluster) > 1:
            gone |= _thin(cluster, key_sec, changes)
        clusters[wish.pitch] = [wish]
    for cluster in clusters.values():
        if len(cluster) > 1:
            gone |= _thin(cluster, key_sec, changes)
    return [wish for wish in wishes if id(wish) not in gone] if gone else wishes


def _spread(wishes: Sequence[Wish], speeds: Speeds, changes: Changes) -> list[Wish]:
    """Return *wishes* with those that come too soon on their key moved to their second keys, where these are free."""
    key_sec, finger_sec = 1 / speeds.key_hz, 1 / speeds.finger_hz
    struck: dict[int, list[Wish]] = {}
    is_moved = False
    for wish in wishes:
        row = struck.setdefault(wish.pitch, [])
        if row and _is_too_soon(row, wish, key_sec, finger_sec):
            before = row[-1]
            softer, other = (wish, before) if wish.velocity <= SOFTER * before.velocity else (before, wish)
            movers = (
                [(softer, other)]
                if is_light(softer) != is_light(other)
                else [(softer, other), (other, softer)]
            )
            for mover, stays in movers:
                if _is_free(mover, struck, key_sec):
                    _take_second(mover, stays, wish.sec - before.sec, changes)
                    struck.setdefault(mover.pitch, []).append(mover)
                    is_moved = True
                    if mover is before:
                        row[-1] = wish
                    break
            else:
                row.append(wish)
            continue
        row.append(wish)
    return sorted(wishes, key=lambda wish: (wish.tick, wish.pitch)) if is_moved else list(wishes)


def _is_too_soon(row: Sequence[Wish], wish: Wish, key_sec: float, finger_sec: float) -> bool:
    """Return whether *wish* should leave the key that *row* struck: for any hand too soon, or for a kick too often."""
    since = wish.sec - row[-1].sec + _EPS
    if since < key_sec:
        return True
    if since < finger_sec and is_light(wish) != is_light(row[-1]):
        return True  # a ghost beside a main stroke: the finger stays free for the main one
    if wish.role is not Role.KICK or wish.hand is not Hand.LEFT:
        return False
    if since < TWICE_SEC:
        return True
    return since < THRICE_SEC and len(row) > 1 and row[-1].sec - row[-2].sec + _EPS < THRICE_SEC


def _is_free(wish: Wish, struck: Mapping[int, Sequence[Wish]], key_sec: float) -> bool:
    """Return whether *wish* has a second key, and nobody struck it just before."""
    if not LOWEST <= wish.second <= HIGHEST or wish.grace:
        return False
    row = struck.get(wish.second)
    return not row or wish.sec - row[-1].sec + _EPS >= key_sec


def _take_second(wish: Wish, other: Wish, since_sec: float, changes: Changes) -> None:
    """Let the second finger strike *wish*'s second key, softer than *other*."""
    up = wish.second - wish.pitch
    where = f"the fifth {'above' if up > 0 else 'below'}" if abs(up) == FIFTH else "the note beside it"
    reason = f"second {wish.role} at {format_rate(since_sec)} on one key: the second finger takes {where}"
    changes.add(wish, Change.MOVED, reason)
    move_by(wish, up)
    wish.finger, wish.second = 2, -1
    wish.velocity = min(wish.velocity, max(1, round(SECOND_SHARE * other.velocity)))


def is_light(wish: Wish) -> bool:
    """Return whether *wish* may go for the sake of a quick neighbour on its key."""
    if wish.worth >= KEPT_WORTH:
        return False
    return wish.grace or wish.weight < GHOST_WEIGHT or wish.role in (Role.COMPING, Role.COLOUR)


def _thin(cluster: list[Wish], key_sec: float, changes: Changes) -> set[int]:
    """Return which of a cluster's light strokes go, so that those that stay are far enough apart."""
    heavy = _choose([wish for wish in cluster if not is_light(wish)], key_sec)
    main = [wish.sec for wish in heavy]
    light = [wish for wish in cluster if is_light(wish)]
    free = [wish for wish in light if not _is_near(wish.sec, main, key_sec)] if main else light
    stay = {id(wish) for wish in (*heavy, *_choose(free, key_sec))}
    gone = [wish for wish in cluster if id(wish) not in stay]
    if gone:
        rate = format_rate(min(after.sec - before.sec for before, after in pairwise(cluster)))
        for wish in gone:
            reason = f"{name_role(wish.role)}s at {rate}: one hand can't strike a key that often"
            changes.add(wish, Change.LEFT_OUT, reason)
    return {id(wish) for wish in gone}


def _is_near(sec: float, others: Sequence[float], key_sec: float) -> bool:
    """Return whether one of *others* (in order) lies within *key_sec* of *sec*."""
    at = bisect_right(others, sec - key_sec + _EPS)
    return at < len(others) and others[at] < sec + key_sec - _EPS


def _choose(cluster: list[Wish], key_sec: float) -> list[Wish]:
    """Return the strokes of *cluster* that are far enough apart and worth most together."""
    secs = [wish.sec for wish in cluster]
    best, taken = [0.0], [(-1, 0)]  # worth of the first n, and (last stroke taken, how many come before it)
    for index, wish in enumerate(cluster):
        room = bisect_right(secs, wish.sec - key_sec + _EPS, hi=index)
        with_it = best[room] + wish.worth
        if with_it > best[-1]:
            best.append(with_it)
            taken.append((index, room))
        else:
            best.append(best[-1])
            taken.append(taken[-1])
    stay = []
    at = len(cluster)
    while at > 0 and taken[at][0] >= 0:
        index, at = taken[at]
        stay.append(cluster[index])
    return stay
