"""The sustain pedal: changed with the harmony and the groove, never across two chords, up in stops and at the end.

A pedal that is down keeps every note sounding until it comes up. So it comes up where the chord changes, and goes
down again only when nothing of the earlier chord that the new one lacks is still held by a key: what is caught always
belongs together. It is changed too where a low stroke would make mud with what it holds. In `auto` the groove decides,
stretch of chord by stretch: full under held chords, dry under busy strokes, and between them each low note is caught
with its reply; never under a passing note.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

from handgroove.hands.low_end import OUT_OF_IT, is_mud
from handgroove.harmony.charts.chart_model import ChordSpan, Cue, Harmony
from handgroove.harmony.voice.voicing_settings import PedalMode
from handgroove.part import Note, PedalMove
from handgroove.strike import Hand
from handgroove.timeline import Timeline

CATCH_TICKS = 60  # the foot goes down a little after the stroke, as pianists do
SHORTEST_TICKS = 180  # a shorter pedal is not worth the foot's way
FULL_UNDER_PER_SEC = 2.6  # strokes a second up to which chords count as held
DRY_OVER_PER_SEC = 5.2  # and over which the pedal would blur them
Stretch = tuple[int, int]


def plan_pedal(
    notes: Sequence[Note],
    harmony: Harmony,
    timeline: Timeline,
    mode: PedalMode = PedalMode.AUTO,
    played_at: Callable[[int], int] = int,
) -> tuple[PedalMove, ...]:
    """Return the pedal moves under *notes* in order, down and up by turns, for *mode*.

    *played_at* tells at which tick the player plays a written one, a change of chord above all.
    """
    if mode is PedalMode.OFF or not notes:
        return ()
    strokes = _Strokes(notes)
    moves: list[PedalMove] = []
    for span in harmony.spans:
        if span.chord is None or span.cue is not Cue.NONE:
            continue
        begin, change = played_at(span.start_tick), played_at(span.end_tick)
        end = min(_lift_tick(strokes, span, change), strokes.last_tick)
        inside = [note for note in strokes.meant(span.start_tick, span.end_tick) if note.tick < end]
        for start, stop in _stretches(mode, span, (begin, end), inside, timeline):
            first = _first_clear_tick(strokes, span, max(begin, start) + CATCH_TICKS)
            for down, up in strokes.without_mud(first, stop):
                if up - down >= SHORTEST_TICKS:
                    moves += [PedalMove(down, True), PedalMove(up, False)]
    return tuple(moves)


class _Strokes:
    """Notes by their meant places, to be asked for what is struck in a stretch."""

    def __init__(self, notes: Sequence[Note]) -> None:
        self.notes = sorted(notes, key=lambda note: (note.meant, *note.order))
        self._places = [note.meant for note in self.notes]
        self.longest_ticks = max(note.length_ticks for note in notes)
        self.last_tick = max(note.end_tick for note in notes)
        self._low = sorted((n for n in notes if n.pitch < OUT_OF_IT), key=lambda note: note.order)
        self._low_ticks = [note.tick for note in self._low]

    def meant(self, start_tick: int, end_tick: int) -> list[Note]:
        """Return the notes that are meant from the written *start_tick* on, before *end_tick*."""
        return self.notes[bisect_left(self._places, start_tick) : bisect_left(self._places, end_tick)]

    def without_mud(self, start: int, stop: int) -> Iterator[Stretch]:
        """Yield the stretch from *start* to *stop*, cut where a stroke would make mud with what the pedal holds."""
        first = bisect_left(self._low_ticks, start - self.longest_ticks)
        caught: list[int] = []
        for note in self._low[first : bisect_left(self._low_ticks, stop)]:
            if note.tick >= start and any(is_mud(pitch, note.pitch) for pitch in caught):
                yield start, note.tick
                start = note.tick + CATCH_TICKS
                again = bisect_left(self._low_ticks, start - self.longest_ticks)
                held = self._low[again : bisect_left(self._low_ticks, note.tick)]
                caught = [old.pitch for old in held if old.end_tick >= start]
            if note.tick >= start or note.end_tick >= start:
                caught.append(note.pitch)
        yield start, stop


def _lift_tick(strokes: _Strokes, span: ChordSpan, change: int) -> int:
    """Return when the pedal of *span* must be up: at its *change*, or at a stroke of the next chord before it."""
    assert span.chord is not None
    first = strokes.meant(span.end_tick, span.end_tick + 1)
    return min([change, *(note.tick for note in first if note.pitch % 12 not in span.chord.pcs)])


def _first_clear_tick(strokes: _Strokes, span: ChordSpan, tick: int) -> int:
    """Return the first tick from *tick* on at which no key still holds an earlier note that is foreign to the chord."""
    assert span.chord is not None
    held = strokes.meant(span.start_tick - strokes.longest_ticks, span.start_tick)
    return max([tick, *(note.end_tick for note in held if note.pitch % 12 not in span.chord.pcs)])


def _stretches(
    mode: PedalMode, span: ChordSpan, whole: Stretch, inside: Sequence[Note], timeline: Timeline
) -> list[Stretch]:
    """Return from where to where the pedal may be down in *span*, played in the *whole* stretch."""
    if not inside:
        return []
    if mode is PedalMode.HARMONY:
        return [whole]
    if mode is PedalMode.HALF_BAR:
        return _half_bars(whole, timeline)
    rate = _strokes_per_sec(inside, whole, timeline)
    if rate > DRY_OVER_PER_SEC:
        return []
    foreign = [note.tick for note in inside if span.chord and note.pitch % 12 not in span.chord.pcs]
    if rate <= FULL_UNDER_PER_SEC and not foreign:
        return [whole]
    # A tune's passing note would hang in the chord, so what is caught stays clear of it.
    return [
        (start, stop)
        for start, stop in _caught(inside, whole[1])
        if not any(start <= tick < stop for tick in foreign)
    ]


def _strokes_per_sec(notes: Sequence[Note], stretch: Stretch, timeline: Timeline) -> float:
    """Return how many strokes of the busier hand fall in a second of *stretch*."""
    seconds = timeline.tick_to_sec(stretch[1]) - timeline.tick_to_sec(stretch[0])
    counts = [len({note.tick // SHORTEST_TICKS for note in notes if note.hand is hand}) for hand in Hand]
    return max(counts) / max(seconds, 0.1)


def _half_bars(stretch: Stretch, timeline: Timeline) -> list[Stretch]:
    """Return *stretch* cut at each bar line and bar's middle (the beat nearest to it)."""
    cuts = [stretch[0]]
    tick = stretch[0]
    while tick < stretch[1]:
        bar = timeline.bar_at(tick)
        beat = bar.metre.beat_ticks
        middle = bar.start_tick + -(-bar.length_ticks // (2 * beat)) * beat
        cuts += [at for at in (middle, bar.end_tick) if cuts[-1] < at < stretch[1]]
        tick = bar.end_tick
    return list(zip(cuts, [*cuts[1:], stretch[1]], strict=True))


def _caught(notes: Sequence[Note], end: int) -> list[Stretch]:
    """Return a stretch from each low note to the left hand's next stroke but one: the octave above rings with it."""
    lowest: dict[int, int] = {}
    for note in notes:
        if note.hand is Hand.LEFT:
            lowest[note.tick] = min(note.pitch, lowest.get(note.tick, note.pitch))
    left = sorted(lowest)
    stretches: list[Stretch] = []
    for index, (tick, reply) in enumerate(pairwise(left)):
        if stretches and tick < stretches[-1][1]:
            continue
        if lowest[reply] > lowest[tick]:  # the thumb answers
            stop = left[index + 2] if index + 2 < len(left) else end
            stretches.append((tick, min(stop, end)))
    return stretches
