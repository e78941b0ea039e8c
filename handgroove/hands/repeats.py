"""One key, one hand: strokes that come faster than changing fingers can strike, thinned before the search.

No fingering helps there. A main stroke that comes too soon goes to the octave beside it, where the hand's other end can
strike it: kick, kick becomes low, high. Light strokes (ghosts, grace notes, chords, colour) give way to a main one too
near; of those left the ones that are worth most together stay (dynamic programming over the cluster; linear).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise

from handgroove.hands.apart import HIGHEST, LOWEST, move_octave
from handgroove.hands.change_lines import GHOST_WEIGHT, Changes
from handgroove.hands.reasons import format_rate, name_role
from handgroove.hands.wishes import KEPT_WORTH, Wish
from handgroove.part import Change
from handgroove.strike import Hand, Role

_EPS = 1e-6  # a gap that meets the limit exactly is long enough


def thin_repeats(wishes: Sequence[Wish], key_sec: float, changes: Changes) -> list[Wish]:
    """Return one hand's *wishes* (in order) without light strokes that would strike a key again within *key_sec*.

    Main ones are moved an octave where that key is free; *changes* gets what goes and what moves.
    """
    clusters: dict[int, list[Wish]] = {}
    gone: set[int] = set()
    quick = False
    for wish in wishes:
        cluster = clusters.get(wish.pitch)
        if cluster is not None and wish.sec - cluster[-1].sec + _EPS < key_sec:
            cluster.append(wish)
            quick = True
            continue
        if cluster is not None and len(cluster) > 1:
            gone |= _thin(cluster, key_sec, changes)
        clusters[wish.pitch] = [wish]
    for cluster in clusters.values():
        if len(cluster) > 1:
            gone |= _thin(cluster, key_sec, changes)
    if not quick:
        return list(wishes)
    kept = [wish for wish in wishes if id(wish) not in gone]
    _spread(kept, key_sec, changes)
    kept.sort(key=lambda wish: (wish.tick, wish.pitch))
    return kept


def _spread(wishes: Sequence[Wish], key_sec: float, changes: Changes) -> None:
    """Move kicks and snares that come too soon on their key to the octave on the hand's other side."""
    struck: dict[int, float] = {}
    for wish in wishes:
        since = wish.sec - struck.get(wish.pitch, -1e9)
        away = {Role.KICK: 12, Role.SNARE: -12}.get(wish.role, 0)
        if since + _EPS < key_sec and away:
            up = away if wish.hand is Hand.LEFT else -away
            free = wish.sec - struck.get(wish.pitch + up, -1e9) + _EPS >= key_sec
            if free and LOWEST <= wish.pitch + up <= HIGHEST:
                where = "up" if up > 0 else "down"
                reason = f"second {wish.role} at {format_rate(since)} on one key: moved {where} an octave"
                changes.add(wish, Change.MOVED, reason)
                move_octave(wish, up)
                wish.finger = 6 - wish.finger if wish.finger in (1, 5) else 0
        struck[wish.pitch] = wish.sec


def is_light(wish: Wish) -> bool:
    """Return whether *wish* may go for the sake of a quick neighbour on its key."""
    if wish.worth >= KEPT_WORTH:
        return False
    return wish.grace or wish.weight < GHOST_WEIGHT or wish.role in (Role.COMPING, Role.COLOUR)


def _thin(cluster: list[Wish], key_sec: float, changes: Changes) -> set[int]:
    """Return which of a cluster's light strokes go, so that those that stay are far enough apart."""
    main = [wish.sec for wish in cluster if not is_light(wish)]
    light = [wish for wish in cluster if is_light(wish)]
    free = [wish for wish in light if not _is_near(wish.sec, main, key_sec)] if main else light
    stay = {id(wish) for wish in _choose(free, key_sec)}
    gone = [wish for wish in light if id(wish) not in stay]
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
