"""What is told of figures, from the notes that sound: not all that was planned may."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from handgroove.figures.candidate import Candidate, make_candidate
from handgroove.figures.figure_search import Path
from handgroove.figures.frame import Frame
from handgroove.figures.plan import Choice, Figures
from handgroove.part import Note
from handgroove.strike import Role


def explain_heard(figures: Figures, notes: Sequence[Note]) -> tuple[str, ...]:
    """Return a sentence for each of *figures*: what is played of it in *notes* (settled ones), and why."""
    sounding: dict[int, list[Note]] = {}
    for note in notes:
        if note.role is Role.MELODY and not note.grace:
            sounding.setdefault(note.tick, []).append(note)
    return tuple(replace(choice, candidate=_hear(choice, sounding)).explain() for choice in figures.choices)


def _hear(choice: Choice, sounding: dict[int, list[Note]]) -> Candidate:
    """Return the candidate of *choice* as it sounds; what has no frame (a hook) stays as it was planned."""
    planned = choice.candidate
    frame, path = planned.frame, planned.path
    if frame is None or path is None:
        return planned
    kept: list[int] = []
    pitches: list[int] = []
    for index, (onset, pitch) in enumerate(zip(frame.onsets, path.pitches, strict=True)):
        found = [note for note in sounding.get(onset.tick, ()) if not set(onset.hits).isdisjoint(note.hits)]
        if found:
            kept.append(index)
            pitches.append(min((note.pitch for note in found), key=lambda p: (abs(p - pitch), -p)))
    if not kept:
        return replace(planned, reasons=("the chart stops, or hands have no room for it",), score=0.0)
    landing = path.landing
    if landing is not None and planned.asked:
        end = max(item.tick for item in planned.asked)
        landed = [note.pitch for note in sounding.get(end, ())]
        landing = max(landed, default=None)
    heard = Path(tuple(pitches), landing, path.motive, path.cost)
    first = frame.onsets[kept[0]].tick
    line = [
        max(sounding[tick], key=lambda note: note.pitch).pitch
        for tick in sorted(sounding)
        if any(item.tick == tick for item in planned.asked) and tick >= first
    ]
    told = make_candidate(_keep(frame, kept), heard, tuple(line))
    return replace(told, asked=planned.asked, hits=planned.hits)


def _keep(frame: Frame, kept: Sequence[int]) -> Frame:
    """Return *frame* with only the onsets *kept* (indices)."""
    if len(kept) == len(frame.onsets):
        return frame
    times = [sum(frame.seconds[:index]) for index in range(len(frame.seconds) + 1)]
    ends = (*kept[1:], len(frame.onsets))
    return replace(
        frame,
        onsets=tuple(frame.onsets[index] for index in kept),
        chords=tuple(frame.chords[index] for index in kept),
        ladders=tuple(frame.ladders[index] for index in kept),
        levels=tuple(frame.levels[index] for index in kept),
        seconds=tuple(times[end] - times[index] for index, end in zip(kept, ends, strict=True)),
    )
