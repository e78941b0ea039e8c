"""Put every note of a part at its written place, and say how long it sounds in written time."""

from __future__ import annotations

from collections.abc import Mapping

from handgroove.groove.hits import Feel
from handgroove.groove.meant.quantise import written_ticks
from handgroove.groove.meant.swing import find_swing, play, straighten, swings
from handgroove.metre import shift_ticks
from handgroove.output.score.sheet_model import Written
from handgroove.part import Part
from handgroove.strike import Hand
from handgroove.timeline import Timeline


def find_feel(part: Part) -> Feel:
    """Return the feel that the page announces: the groove's, or, where nobody read it, the swing that notes show."""
    feel = part.groove.feel
    if swings(feel) or part.places:
        return feel
    hands = [sorted({n.tick for n in part.hand(hand) if not n.grace}) for hand in Hand]
    return find_swing(hands, part.timeline)


def place_notes(part: Part, feel: Feel) -> list[Written]:
    """Return the part's notes at their written ticks, grace notes at the tick of the note that they lead to."""
    written = find_places(part, feel)
    even = _even_pairs(part, written, feel)
    placed = []
    for index, note in enumerate(part.notes):
        home = _principal(part, index) if note.grace else index
        place = even.get(home, written[home])
        placed.append(Written(index, note, place, _length(place, note.length_ticks, part.timeline, feel)))
    return placed


def find_places(part: Part, feel: Feel) -> dict[int, int]:
    """Return the written tick of each of the part's notes but the grace notes, by its index.

    It is the one that the note's strokes were meant at; where nobody read what was meant, as in somebody's piano
    file, the notes themselves are read.
    """
    found = {index: note.meant for index, note in enumerate(part.notes) if not note.grace}
    onsets: dict[int, int] = {}
    for note in part.notes:
        if note.place is None and not note.grace:
            onsets[note.tick] = onsets.get(note.tick, 0) | (1 if note.hand is Hand.LEFT else 2)
    if onsets:
        written = written_ticks(onsets, part.timeline, feel, max(onsets) + 1)
        found |= {
            index: written[part.notes[index].tick] for index in found if part.notes[index].place is None
        }
    return found


def _even_pairs(part: Part, written: Mapping[int, int], feel: Feel) -> dict[int, int]:
    """Return where a hand's notes go that swing in a beat which the other hand plays in triplets: to the even half."""
    if not swings(feel) or feel.swing_unit_ticks != 480:
        return {}
    beats: dict[tuple[Hand, int], list[int]] = {}
    for index, place in written.items():
        beats.setdefault((part.notes[index].hand, place // 960), []).append(index)
    even: dict[int, int] = {}
    for (_, beat), indices in beats.items():
        if {written[index] % 960 for index in indices} - {0} == {640}:
            even |= {index: beat * 960 + 480 for index in indices if written[index] % 960}
    return even


def _principal(part: Part, index: int) -> int:
    """Return the index of the note that a grace note leads to: the hand's next, else any next, else the last."""
    grace = part.notes[index]
    later = [number for number in range(index + 1, len(part.notes)) if not part.notes[number].grace]
    own = next((number for number in later if part.notes[number].hand is grace.hand), None)
    if own is not None:
        return own
    others = [number for number, note in enumerate(part.notes) if not note.grace]
    return later[0] if later else others[-1]


def _length(place: int, length_ticks: int, timeline: Timeline, feel: Feel) -> int:
    """Return how long a note written at *place* that sounds *length_ticks* is in written time, swing taken out."""
    if not swings(feel):
        return max(1, length_ticks)
    bar = timeline.bar_at(place)
    base = bar.start_tick - shift_ticks(bar)
    end = play(place - base, feel) + length_ticks
    return max(1, round(float(base + straighten(end, feel) - place)))
