"""What stands around the notes: dynamics from loudness, fingerings where they help, chords, pedal.

The table from velocity to dynamic is common practice in notation programs, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from statistics import median
from typing import Literal

from handgroove.metre import beats
from handgroove.output.score.sheet_model import ChordMark, Head, Measure, Symbol, Words
from handgroove.part import Note, Part
from handgroove.strike import Hand, Role
from handgroove.timeline import Timeline

Fingerings = Literal["changes", "all", "none"]

_DYNAMICS = ((39, "pp"), (54, "p"), (69, "mp"), (84, "mf"), (102, "f"), (127, "ff"))
_MOST_PEDALS = 1.4  # in a bar
_FORGET_BARS = 8  # after so long a reader has forgotten which finger it was


def dynamic_of(velocity: float) -> str:
    """Return the dynamic mark for a *velocity* of 1 to 127."""
    return next(name for most, name in _DYNAMICS if velocity <= most + 0.5)


def find_dynamics(part: Part, starts: Sequence[int]) -> list[Words]:
    """Return a dynamic mark at each of *starts* (the sections' written ticks) where the loudness changes."""
    marks: list[Words] = []
    for index, start in enumerate(starts):
        end = starts[index + 1] if index + 1 < len(starts) else None
        inside = [n for n in part.notes if n.meant >= start and (end is None or n.meant < end)]
        loud = _loudness(inside)
        if loud:
            text = dynamic_of(median(loud))
            if not marks or marks[-1].text != text:
                marks.append(Words(start, "dynamic", text, 1))
    return marks


def _loudness(notes: Sequence[Note]) -> list[int]:
    """Return the velocities that say how loud the music is meant: of the tune, else of the right hand's strokes."""
    tune = [n for n in notes if n.role is Role.MELODY]
    right = [n for n in notes if n.hand is Hand.RIGHT]
    strokes: dict[int, int] = {}
    for note in tune or right or notes:
        strokes[note.tick] = max(note.velocity, strokes.get(note.tick, 0))
    return list(strokes.values())


def show_fingers(
    symbols: Iterable[Symbol], timeline: Timeline, which: Fingerings, fresh: Iterable[int]
) -> None:
    """Set the fingers to print in one hand: all, none, or where the hand changes.

    With ``changes`` a key's finger is printed when it is not the one last printed for it, after eight bars, and at
    each tick in *fresh* (sections, where a player starts to practise).
    """
    if which == "none":
        return
    starts = sorted(fresh)
    known: dict[int, tuple[int, int]] = {}
    for symbol in symbols:
        while starts and symbol.tick >= starts[0]:
            starts.pop(0)
            known = {}
        bar = timeline.bar_at(symbol.tick).number
        shown = [h for h in symbol.heads if not h.tied_from and h.placed.note.finger]
        new = [h for h in shown if _is_new(h, known, bar)]
        for head in shown if which == "all" else (shown if new and len(shown) > 1 else new):
            head.finger = head.placed.note.finger
        for head in shown:
            if head.finger or which == "all":
                known[head.placed.note.pitch] = (head.placed.note.finger, bar)


def _is_new(head: Head, known: dict[int, tuple[int, int]], bar: int) -> bool:
    finger, when = known.get(head.placed.note.pitch, (0, 0))
    return finger != head.placed.note.finger or bar - when >= _FORGET_BARS


def chord_marks(part: Part) -> list[ChordMark]:
    """Return the chord symbols at written places, once each while a chord stays, again at each section."""
    if not part.harmony.stated:
        return []
    again = {marker.tick for marker in part.sections}
    marks: list[ChordMark] = []
    for span in part.harmony.spans:
        tick = span.start_tick
        last = marks[-1].chord if marks else None
        if not marks or tick in again or (span.chord and span.chord.symbol) != (last and last.symbol):
            marks.append(ChordMark(tick, span.chord))
    return marks


def restate_chords(measures: Sequence[Measure]) -> None:
    """Say the chord again at the start of a system where nothing stands yet."""
    sounding: ChordMark | None = None
    for measure in measures:
        start = measure.bar.start_tick
        if measure.new_system and sounding and not any(mark.tick < start + 480 for mark in measure.chords):
            measure.chords.insert(0, ChordMark(start, sounding.chord))
        sounding = measure.chords[-1] if measure.chords else sounding


def pedal_words(part: Part, timeline: Timeline) -> list[Words]:
    """Return the pedal marks at written places: ``start`` (down) and ``stop`` (up).

    Where the pedal moves more often than a reader would follow, one word says to use it and leaves the rest to the ear.
    """
    downs = [move.meant for move in part.pedal if move.down]
    bars = {timeline.bar_at(tick).number for tick in downs}
    if len(downs) > _MOST_PEDALS * len(bars):
        return [Words(timeline.bar_at(downs[0]).start_tick, "italic", "con Ped.", 2)]
    words: list[Words] = []
    down = False
    for move in part.pedal:
        if move.down == down:
            continue
        tick = _near(move.meant, timeline)
        words.append(Words(tick, "pedal", "start" if move.down else "stop", 2))
        down = move.down
    return words


def _near(tick: int, timeline: Timeline) -> int:
    """Return the eighth nearest to *tick*, or the beat where it is nearer than a sixteenth."""
    bar = timeline.bar_at(tick)
    edges = [start for start, _ in beats(bar)] + [bar.end_tick]
    beat = min(edges, key=lambda edge: abs(edge - tick))
    return beat if abs(beat - tick) < 240 else round(tick / 480) * 480


def place_words(measures: Sequence[Measure], words: Iterable[Words]) -> None:
    """Put each of *words* into its measure."""
    starts = [m.bar.start_tick for m in measures]
    for item in words:
        index = max(0, sum(1 for start in starts if start <= item.tick) - 1)
        measures[index].words.append(item)
