"""One key, one hand: strokes that come faster than changing fingers can strike, thinned before the search.

No fingering helps there, so the choice is small and exact: of every cluster of too quick strokes the ones that are
worth most together stay (dynamic programming over the cluster; linear).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise

from handgroove.hands.changes import Changes
from handgroove.hands.reasons import format_rate, name_role
from handgroove.hands.wishes import Wish
from handgroove.part import Change

_EPS = 1e-6  # a gap that meets the limit exactly is long enough


def thin_repeats(wishes: Sequence[Wish], key_sec: float, changes: Changes) -> list[Wish]:
    """Return one hand's *wishes* (in order) with no key struck twice within *key_sec*; *changes* gets what goes."""
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
    return [wish for wish in wishes if id(wish) not in gone] if gone else list(wishes)


def _thin(cluster: list[Wish], key_sec: float, changes: Changes) -> set[int]:
    """Return which of a cluster's strokes go, so that those that stay are worth most and far enough apart."""
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
    stay: set[int] = set()
    at = len(cluster)
    while at > 0 and taken[at][0] >= 0:
        index, at = taken[at]
        stay.add(index)
    fastest = min(after - before for before, after in pairwise(secs))
    rate = format_rate(fastest)
    for index, wish in enumerate(cluster):
        if index not in stay:
            reason = f"{name_role(wish.role)}s at {rate}: one hand can't strike a key that often"
            changes.add(wish, Change.LEFT_OUT, reason)
    return {id(wish) for index, wish in enumerate(cluster) if index not in stay}
