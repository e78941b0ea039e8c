"""What other programs read in a score: notes as (start tick, end tick, pitch, finger) of each staff."""

from __future__ import annotations

import re
from collections import Counter
from typing import Any

from handgroove.output.score.sheet_model import Sheet

Read = Counter[tuple[int, int, int, int]]


def meant(sheet: Sheet) -> dict[int, Read]:
    """Return what *sheet* means each staff to play: (start tick, end tick, pitch, finger), ties joined."""
    notes: dict[int, Read] = {1: Counter(), 2: Counter()}
    for measure in sheet.measures:
        for number, symbols in measure.voices.items():
            for symbol in symbols:
                for head in symbol.heads:
                    if not head.tied_from:
                        end = symbol.event.end_tick if symbol.event else symbol.end_tick
                        item = (symbol.tick, end, head.placed.note.pitch, head.finger)
                        notes[1 if number < 5 else 2][item] += 1
    return notes


def read_with_music21(text: str) -> tuple[dict[int, Read], Any]:
    """Return the notes that music21 reads in each staff, and its score."""
    from music21 import articulations, converter

    score: Any = converter.parseData(text, format="musicxml")
    notes: dict[int, Read] = {}
    staves = [part for part in score.parts if "Staff" in str(part.id)]
    for staff, part in enumerate(staves, 1):
        notes[staff] = Counter()
        for element in part.stripTies().flatten().notes:
            if element.duration.isGrace or "ChordSymbol" in element.classes or "NoChord" in element.classes:
                continue
            start = round(element.offset * 960)
            end = start + round(element.quarterLength * 960)
            fingers = [
                a.fingerNumber for a in element.articulations if isinstance(a, articulations.Fingering)
            ]
            pitches = [p.midi for p in element.pitches]
            fingers += [0] * (len(pitches) - len(fingers))
            notes[staff].update(
                (start, end, pitch, finger) for pitch, finger in zip(pitches, fingers, strict=True)
            )
    return notes, score


def read_with_verovio(text: str) -> dict[str, tuple[int, int, int]]:
    """Return for each note's id the (start tick, end tick, pitch) that verovio would play, pieces of ties joined."""
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.setOptions({"breaks": "none"})
    toolkit.loadData(text)
    starts: dict[str, int] = {}
    ends: dict[str, int] = {}
    for moment in toolkit.renderToTimemap({"includeMeasures": False}):
        tick = round(moment["qstamp"] * 960)
        starts |= dict.fromkeys(moment.get("on", ()), tick)
        ends |= dict.fromkeys(moment.get("off", ()), tick)
    notes: dict[str, tuple[int, int, int]] = {}
    for identity in starts:
        if re.fullmatch(r"n\d+", identity):
            end, piece = ends[identity], 2
            while starts.get(f"{identity}-{piece}") == end:  # a tied piece begins where the last one ended
                end, piece = ends[f"{identity}-{piece}"], piece + 1
            notes[identity] = (starts[identity], end, toolkit.getMIDIValuesForElement(identity)["pitch"])
    return notes
