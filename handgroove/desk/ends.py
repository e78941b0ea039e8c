"""When notes end for the music's sake, set once and before hands are settled: at a change of chord that they don't
belong to, in a stop's silence, and with the music's last bar.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from handgroove.harmony.chart import Cue, Harmony
from handgroove.strike import Asked, Role

STOP_HOLD_TICKS = 480  # a stop is struck short, and then there is silence
SHORTEST_TICKS = 60  # of a stroke that the drummer plays after the chord it was meant with has gone


def set_ends(
    asked: Sequence[Asked],
    harmony: Harmony,
    played_at: Callable[[int], int],
    end_tick: int,
    free: Collection[Role] = (),
) -> list[Asked]:
    """Return *asked* with the ticks at which each key is let go at the latest.

    A note that the next chord has too may be held over. *played_at* tells at which tick a written one is played;
    *end_tick* is where the music ends, as played. Strokes of the roles *free* are not ended by chords (a given tune).
    """
    spans = harmony.spans
    changes = [played_at(span.start_tick) for span in spans]
    return [_ended(item, harmony, changes, end_tick, item.strike.role in free) for item in asked]


def _ended(item: Asked, harmony: Harmony, changes: Sequence[int], end_tick: int, is_free: bool) -> Asked:
    strike, spans = item.strike, harmony.spans
    index = harmony.index_at(item.meant)
    hold = min(strike.hold_ticks, STOP_HOLD_TICKS) if spans[index].cue is Cue.STOP else strike.hold_ticks
    last = max(item.tick + 1, min(item.tick + hold, end_tick))
    after = index + 1
    if is_free or after >= len(spans) or changes[after] >= last:
        return (
            item if last == item.tick + strike.hold_ticks else _with_ends(item, (last,) * len(strike.pitches))
        )
    ends = []
    for pitch in strike.pitches:
        end = last
        for number in range(after, len(spans)):
            if changes[number] >= end:
                break
            chord = spans[number].chord
            if chord is None or pitch % 12 not in chord.pcs:
                end = min(end, max(changes[number], item.tick + SHORTEST_TICKS))
        ends.append(end)
    return _with_ends(item, tuple(ends))


def _with_ends(item: Asked, ends: tuple[int, ...]) -> Asked:
    return Asked(item.tick, item.strike, item.hits, item.place, ends)
