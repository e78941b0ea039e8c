"""Laws of the whole part: its bars on paper, every hit told of, and hands that can play it."""

from __future__ import annotations

from handgroove import read_player
from handgroove.groove.kit import Family
from handgroove.hands.playability import Severity, check_notes
from tests.laws.played import play
from tests.laws.verdict import Take, Verdict, find_doubt

PLAYERS = ("octave", "ninth", "tenth")
FINAL = frozenset({Family.KICK, Family.CRASH})  # what a last chord is struck with, beside an accented snare
ACCENT = 90  # velocity from which a last snare may be one
ON_LINE_TICKS = 60  # a quarter of a sixteenth: this near a bar line, a stroke is meant on it
NEAR_LINE_TICKS = 160  # half-way to a triplet: up to here either reading may be right


def judge_bars(take: Take) -> Verdict:
    """Count the page's bars: as many as were played, and one more only for a last kick, crash or accented snare on it.

    Silent bars before the music may be counted or not. Strokes from a quarter to two thirds of a sixteenth off the last
    bar line may be read either way.
    """
    played = take.plain
    printed = len(played.page.measures)
    timeline = take.groove.timeline
    last = take.groove.hits[-1].tick - played.running_lean(take.groove.hits[-1].tick)
    line = timeline.bar_at(last + NEAR_LINE_TICKS)
    off = last - line.start_tick
    near = [hit for hit in take.groove.hits if hit.tick >= take.groove.hits[-1].tick - NEAR_LINE_TICKS]
    is_final = any(
        hit.piece.family in FINAL or (hit.piece.family is Family.SNARE and hit.velocity >= ACCENT)
        for hit in near
    )
    bars = timeline.bar_at(last).number
    right = {bars}
    if abs(off) <= NEAR_LINE_TICKS and line.number > 1:
        right = {line.number} if is_final else {line.number - 1}
        if abs(off) > ON_LINE_TICKS:
            right = {line.number, line.number - 1} if is_final or off > 0 else {line.number - 1}
    silent = timeline.bar_at(take.groove.hits[0].tick + NEAR_LINE_TICKS).number - 1
    right |= {number - silent for number in right if silent > 0}
    faults = (
        ()
        if printed in right
        else (f"{printed} bars printed, {' or '.join(map(str, sorted(right)))} played",)
    )
    return Verdict("bars", 1, faults, doubt=find_doubt(played))


def judge_told(take: Take) -> Verdict:
    """Look for every hit: it stands in a note's hits or in an omission's, whose reason is in words."""
    part = take.plain.part
    found = {hit for note in part.notes for hit in note.hits}
    found |= {hit for omission in part.omissions for hit in omission.hits if omission.reason}
    lost = [index for index in range(len(part.groove.hits)) if index not in found]
    faults = [
        f"{part.groove.hits[index].piece} at {part.timeline.format_position(part.groove.hits[index].tick)} is lost"
        for index in lost
    ]
    return Verdict("told", len(part.groove.hits), tuple(faults))


def judge_hands(take: Take) -> Verdict:
    """Let three sizes of hand play it: nothing that can't be played."""
    cases, faults = 0, []
    for name in PLAYERS:
        played = take.plain if name == "ninth" else play(take.groove, take.chart, name)
        part = played.part
        cases += len(part.notes)
        faults += [
            f"{name}, {part.timeline.format_position(trouble.tick)}: {trouble.text}"
            for trouble in check_notes(part.notes, read_player(name), part.timeline)
            if trouble.severity is Severity.CANT
        ]
    return Verdict("hands", cases, tuple(faults))
