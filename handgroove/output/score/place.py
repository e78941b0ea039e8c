"""Put every note of a part at its written place, and say how long it sounds in written time."""

from __future__ import annotations

from collections.abc import Mapping

from handgroove.groove.hits import Feel
from handgroove.groove.meant.quantise import written_ticks
from handgroove.groove.meant.swing import find_swing, straighten, swings
from handgroove.metre import shift_ticks
from handgroove.output.score.sheet_model import Written
from handgroove.part import Part
from handgroove.strike import Hand
from handgroove.timeline import Timeline


def find_feel(part: Part) -> Feel:
    """Return the feel that the page announces: the groove's own, or the swing that its notes show."""
    feel = part.groove.feel
    if swings(feel):
        return feel
    hands = [sorted({n.tick for n in part.hand(hand) if not n.grace}) for hand in Hand]
    return find_swing(hands, part.timeline)


def place_notes(part: Part, feel: Feel) -> list[Written]:
    """Return the part's notes at their written ticks, grace notes at the tick of the note that they lead to."""
    onsets: dict[int, int] = {}
    for note in part.notes:
        if not note.grace:
            onsets[note.tick] = onsets.get(note.tick, 0) | (1 if note.hand is Hand.LEFT else 2)
    end_tick = max([part.timeline.end_tick, *(tick + 1 for tick in onsets)])
    written = written_ticks(onsets, part.timeline, feel, end_tick)
    even = _even_pairs(part, written, feel)
    placed = []
    for index, note in enumerate(part.notes):
        played = _principal(part, index) if note.grace else note.tick
        tick = even.get((played, note.hand), written[played])
        start = _straight(note.tick, part.timeline, feel)
        length = max(1, round(_straight(note.end_tick, part.timeline, feel) - start))
        placed.append(Written(index, note, tick, length))
    return placed


def _even_pairs(part: Part, written: Mapping[int, int], feel: Feel) -> dict[tuple[int, Hand], int]:
    """Return where a hand's notes go that swing in a beat which the other hand plays in triplets: to the even half."""
    if not swings(feel) or feel.swing_unit_ticks != 480:
        return {}
    beats: dict[tuple[Hand, int], set[int]] = {}
    for note in part.notes:
        if not note.grace:
            beats.setdefault((note.hand, written[note.tick] // 960), set()).add(note.tick)
    even = {}
    for (hand, beat), ticks in beats.items():
        inside = [tick for tick in ticks if written[tick] % 960]
        if len(inside) == 1 and written[inside[0]] % 960 == 640:
            even[inside[0], hand] = beat * 960 + 480
    return even


def _principal(part: Part, index: int) -> int:
    """Return the played tick of the note that a grace note leads to: the hand's next, else any next, else the last."""
    grace = part.notes[index]
    later = [n for n in part.notes[index + 1 :] if not n.grace]
    own = next((n.tick for n in later if n.hand is grace.hand), None)
    if own is not None:
        return own
    others = [n.tick for n in part.notes if not n.grace]
    return later[0].tick if later else max(others, default=grace.tick)


def _straight(tick: int, timeline: Timeline, feel: Feel) -> float:
    if not swings(feel):
        return tick
    bar = timeline.bar_at(tick)
    base = bar.start_tick - shift_ticks(bar)
    return base + straighten(tick - base, feel)
