"""The low end and the fingers under it: mud, quick repeats, weak trills, and where roots stand.

Limits: low interval limits (`harmony/voice/low_limits.py`); one key twice running at 7 a second and three times at 6, a
trill of fourth and fifth finger at 6 (common practice, no source). What the pedal holds sounds on.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence

from handgroove.harmony.chart import Harmony
from handgroove.harmony.voice.low_limits import LOWEST_UNDER_INTERVAL
from handgroove.part import Note, Part
from handgroove.strike import Hand, Role
from tests.tools.music.heard import Count, Heard

TWICE_HZ, THRICE_HZ, TRILL_HZ = 7, 6, 6
CLEAR_FROM = 52  # E3
E1 = 28
EPS = 1e-6


def sounding_ends(part: Part) -> list[int]:
    """Return the tick at which each note of *part* has ended, with what the pedal holds."""
    downs: list[int] = []
    ups: list[int] = []
    for move in part.pedal:
        (downs if move.down else ups).append(move.tick)
    struck: dict[int, list[int]] = defaultdict(list)
    for note in part.notes:
        struck[note.pitch].append(note.tick)
    last = max([*ups, *(note.end_tick for note in part.notes)], default=0)
    ends = []
    for note in part.notes:
        at = bisect_right(downs, note.end_tick) - 1
        held = next((up for up in ups if up > downs[at]), last) if at >= 0 else 0
        again = bisect_right(struck[note.pitch], note.tick)
        strokes = struck[note.pitch]
        stop = strokes[again] if again < len(strokes) else last
        ends.append(max(note.end_tick, min(held, stop)) if held > note.end_tick else note.end_tick)
    return ends


def low_pairs(part: Part, *, pedal: bool = True) -> Iterator[tuple[Note, Note]]:
    """Yield each pair of different keys that sound together, the lower below E3; the lower first."""
    ends = sounding_ends(part) if pedal else [note.end_tick for note in part.notes]
    on: list[tuple[int, Note]] = []
    for note, end in zip(part.notes, ends, strict=True):
        on = [(stop, old) for stop, old in on if stop > note.tick]
        for _, old in on:
            low, high = (old, note) if old.pitch < note.pitch else (note, old)
            if low.pitch < high.pitch and low.pitch < CLEAR_FROM:
                yield low, high
        on.append((end, note))


def count_mud(heard: Heard, *, pedal: bool = True) -> Count:
    """Count pairs of keys that sound together closer than is clear so far down."""
    found = of = 0
    worst = ""
    for low, high in low_pairs(heard.part, pedal=pedal):
        of += 1
        if low.pitch < LOWEST_UNDER_INTERVAL.get(high.pitch - low.pitch, 0):
            found += 1
            worst = worst or f"{low.pitch} with {high.pitch} at tick {max(low.tick, high.tick)}"
    return Count(found, of, worst)


def count_mud_by_keys(heard: Heard) -> Count:
    """Count muddy pairs that hands strike or hold together, the pedal aside."""
    return count_mud(heard, pedal=False)


def count_repeats(heard: Heard) -> Count:
    """Count left-hand strokes that strike a key twice running over 7 a second, or three times over 6."""
    clock = heard.part.timeline.tick_to_sec
    keys: dict[int, list[float]] = defaultdict(list)
    for note in heard.part.hand(Hand.LEFT):
        keys[note.pitch].append(clock(note.tick))
    found = of = 0
    worst = ""
    for pitch, secs in keys.items():
        for at in range(1, len(secs)):
            gap = secs[at] - secs[at - 1] + EPS
            of += gap < 0.5
            thrice = at > 1 and gap < 1 / THRICE_HZ and secs[at - 1] - secs[at - 2] + EPS < 1 / THRICE_HZ
            if gap < 1 / TWICE_HZ or thrice:
                found += 1
                worst = worst or f"key {pitch} at {secs[at]:.2f} s, {1 / max(gap, 0.001):.1f} a second"
    return Count(found, of, worst)


def count_weak_trills(heard: Heard) -> Count:
    """Count strokes of the fourth and fifth finger in turn, three running, over 6 a second."""
    clock = heard.part.timeline.tick_to_sec
    found = of = 0
    worst = ""
    for hand in Hand:
        last: dict[int, float] = {}
        for note in heard.part.hand(hand):
            if note.finger not in (4, 5):
                continue
            sec, other = clock(note.tick), 9 - note.finger
            before, own = last.get(other, -9.0), last.get(note.finger, -9.0)
            if own < before < sec and sec - own < 1.0:
                of += 1
                if max(sec - before, before - own) + EPS < 1 / TRILL_HZ:
                    found += 1
                    worst = worst or f"{hand} hand at {sec:.2f} s"
            last[note.finger] = sec
    return Count(found, of, worst)


def roots(part: Part) -> list[tuple[tuple[int, str], int]]:
    """Return the pitch of each kick on its chord's root, with its section and chord."""
    harmony = part.harmony
    lowest: dict[int, Note] = {}  # of a low octave only its lower note stands for the root
    for note in part.hand(Hand.LEFT):
        if note.role is Role.KICK:
            lowest.setdefault(note.tick, note)
    return [
        ((_section(note.meant, harmony), chord), note.pitch)
        for note in lowest.values()
        if (chord := _root_of(note, harmony))
    ]


def _root_of(note: Note, harmony: Harmony) -> str:
    index = harmony.index_at(note.meant)
    for span in harmony.spans[index : index + 2]:  # a push is the next chord's
        if span.chord and note.pitch % 12 == span.chord.root.pc:
            return span.chord.symbol
    return ""


def _section(tick: int, harmony: Harmony) -> int:
    return bisect_right([marker.tick for marker in harmony.sections], tick)


def count_octaves(heard: Heard) -> Count:
    """Count kicks on a root in another octave than most of its chord's in that section."""
    by_chord: dict[tuple[int, str], Counter[int]] = defaultdict(Counter)
    for chord, pitch in roots(heard.part):
        by_chord[chord][pitch] += 1
    odd = [(chord, pitches) for chord, pitches in by_chord.items() if len(pitches) > 1]
    return Count(
        sum(pitches.total() - max(pitches.values()) for _, pitches in odd),
        sum(pitches.total() for pitches in by_chord.values()),
        f"{odd[0][0]}: {dict(odd[0][1])}" if odd else "",
    )


def count_deep_roots(heard: Heard) -> Count:
    """Count kicks on a root below E1, where no bass line asks for it."""
    found: Sequence[int] = [pitch for _, pitch in roots(heard.part)]
    return Count(sum(pitch < E1 for pitch in found), len(found), str([p for p in found if p < E1][:1] or ""))
