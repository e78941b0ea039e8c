"""When notes end for the music's sake, set once and before hands are settled: at a change of chord that they don't
belong to, in a stop's silence, and with the music's last bar.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence

from handgroove.harmony.chart import Cue, Harmony
from handgroove.host.chain import PUSH_TICKS
from handgroove.strike import Asked, Hand, Role

STOP_HOLD_TICKS = 480  # a stop is struck short, and then there is silence
_STOP = Cue.STOP  # by name: in Python 3.11 ten times as quick as through the class
LOW = (Role.KICK, Role.SNARE)  # under the next chord its fifth would be the bass
SHORTEST_TICKS = 60  # of a stroke that the drummer plays after the chord it was meant with has gone


def set_ends(
    asked: Sequence[Asked],
    harmony: Harmony,
    played_at: Callable[[int], int],
    end_tick: int,
    free: Collection[Role] = (),
    silences: Sequence[int] = (),
) -> list[Asked]:
    """Return *asked* with the ticks at which each key is let go at the latest.

    A note that the next chord has too may be held over; of the left hand's low notes only one that is its bass.
    *played_at* tells at which tick a written one is played; *end_tick* is where the music ends, as played. Strokes of
    the roles *free* are not ended by chords (a given tune). *silences* are the ticks, in order, from which nothing
    sounds on.
    """
    changes = [played_at(span.start_tick) for span in harmony.spans]
    kick = Role.KICK
    kicks = ((item.meant, item.tick, item.strike.pitches[0]) for item in asked if item.strike.role is kick)
    pushes = find_pushes(kicks, harmony)
    stops = [*silences, end_tick]
    return [
        _ended(item, harmony, changes, pushes, _next(stops, item.tick), item.strike.role in free)
        for item in asked
    ]


def _next(stops: Sequence[int], tick: int) -> int:
    """Return the first of *stops* (in order) after *tick*, or the last."""
    return stops[min(bisect_right(stops, tick), len(stops) - 1)]


def find_pushes(kicks: Iterable[tuple[int, int, int]], harmony: Harmony) -> dict[int, tuple[int, int]]:
    """Return where *kicks* (written tick, played tick, pitch) bring a chord early: those ticks, by the chord's span."""
    spans, found = harmony.spans, dict[int, tuple[int, int]]()
    for place, tick, pitch in kicks:
        index = harmony.index_at(place) + 1
        if index == len(spans) or spans[index].start_tick - place > PUSH_TICKS:
            continue
        before, after = spans[index - 1].chord, spans[index].chord
        pc = pitch % 12
        if after and pc in (after.bass.pc, after.root.pc) and not (before and pc in before.pcs):
            found[index] = min((place, tick), found.get(index, (place, tick)))
    return found


def _ended(
    item: Asked,
    harmony: Harmony,
    changes: Sequence[int],
    pushes: Mapping[int, tuple[int, int]],
    end_tick: int,
    is_free: bool,
) -> Asked:
    strike, spans = item.strike, harmony.spans
    index = harmony.index_at(item.meant)
    hold = min(strike.hold_ticks, STOP_HOLD_TICKS) if spans[index].cue is _STOP else strike.hold_ticks
    last = max(item.tick + 1, min(item.tick + hold, end_tick))
    after = index + 1
    change = changes[after] if after < len(spans) else last
    if after in pushes and item.meant < pushes[after][0]:
        change = min(change, pushes[after][1])
    if is_free or after >= len(spans) or change >= last:
        return (
            item if last == item.tick + strike.hold_ticks else _with_ends(item, (last,) * len(strike.pitches))
        )
    ends = []
    others = (
        () if strike.until_next else (strike.second, strike.spare)
    )  # keys that a quick stroke may move to
    for pitch in strike.pitches:
        end, pcs = last, {key % 12 for key in (pitch, *others) if key >= 0}
        for number in range(after, len(spans)):
            at = change if number == after else changes[number]
            if at >= end:
                break
            chord = spans[number].chord
            held = chord is not None and pcs <= chord.pcs
            if chord is not None and strike.hand is Hand.LEFT and strike.role in LOW:
                held = held and pitch % 12 in (chord.bass.pc, chord.root.pc)
            if not held:
                end = min(end, max(at, item.tick + SHORTEST_TICKS))
        ends.append(end)
    return _with_ends(item, tuple(ends))


def _with_ends(item: Asked, ends: tuple[int, ...]) -> Asked:
    return Asked(item.tick, item.strike, item.hits, item.place, ends)
