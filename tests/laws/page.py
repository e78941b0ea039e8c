"""The written page as a reader has it: every printed note's place and name, read back from MusicXML.

Nothing here asks the program what it meant. Ticks are MusicXML's divisions, 960 to the quarter, counted from the
start of the music by the timeline's bars; a note's identity is the ``n12`` that the page gives it.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from handgroove.timeline import Timeline


@dataclass(frozen=True, slots=True)
class Printed:
    """A part's note as printed: its written *tick*, its *measure*'s number, its *name* (``Bb4``), its staff."""

    tick: int
    measure: int
    name: str
    staff: int
    is_grace: bool


@dataclass(frozen=True, slots=True)
class Page:
    """A whole page: its *measures*' numbers in order, and its *notes* by their index in the part."""

    measures: tuple[int, ...]
    notes: Mapping[int, Printed]

    def finest_step_ticks(self, timeline: Timeline) -> int:
        """Return the least distance between two written places of one bar, the bar's start among them."""
        places: dict[int, set[int]] = {}
        for note in self.notes.values():
            if not note.is_grace:
                start = timeline.bar_start(note.measure)
                places.setdefault(note.measure, {start}).add(note.tick)
        steps = [after - before for bar in places.values() for before, after in pairwise(sorted(bar))]
        return min(steps, default=timeline.bar_at(0).length_ticks)


def read_page(musicxml: str, timeline: Timeline) -> Page:
    """Read the piano part of *musicxml*, whose bars are *timeline*'s."""
    measures: list[int] = []
    notes: dict[int, Printed] = {}
    for measure in ET.fromstring(musicxml.encode()).iterfind("part[@id='P1']/measure"):
        number = int(measure.get("number", "0"))
        measures.append(number)
        start = timeline.bar_start(number)
        for identity, offset, note in _walk(measure):
            if identity.isdecimal():  # later pieces of a tied note are called n12-2, n12-3 ...
                staff = int(note.findtext("staff", "1"))
                grace = note.find("grace") is not None
                notes[int(identity)] = Printed(start + offset, number, _name(note), staff, grace)
    return Page(tuple(measures), notes)


def _walk(measure: ET.Element) -> Iterator[tuple[str, int, ET.Element]]:
    """Yield each note of *measure*: what follows the ``n`` of its identity, its offset in ticks, and the element."""
    at = before = 0
    for item in measure:
        length = int(item.findtext("duration", "0"))
        if item.tag == "backup":
            at -= length
        elif item.tag == "forward":
            at += length
        elif item.tag == "note":
            if item.find("chord") is not None:
                at = before
            before = at
            if item.find("pitch") is not None:
                yield item.get("id", "").removeprefix("n"), at, item
            at += length


def _name(note: ET.Element) -> str:
    alter = int(note.findtext("pitch/alter", "0"))
    sign = "#" * alter if alter > 0 else "b" * -alter
    return f"{note.findtext('pitch/step')}{sign}{note.findtext('pitch/octave')}"
