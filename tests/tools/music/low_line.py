"""The left hand's low line, and what a chart marks: bars without a root, mud and leaps, stops and pushes.

A swung or ride-led take is told by its own strokes; waltzes, compound metres and Latin styles by the take's name, and
these are asked with the pattern that a musician would choose for them.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from handgroove import read_pattern
from handgroove.desk.desk import Desk
from handgroove.groove.kit import Piece
from handgroove.harmony.chart import ChordSpan, Cue, parse_chart
from handgroove.harmony.voice.low_limits import is_muddy
from handgroove.part import Note
from handgroove.strike import Hand, Role
from tests.tools.music.heard import Count, Heard

LEAP = 12  # semitones: more between two low notes is a leap without a reason
LATE_SEC = (
    0.06  # after which what sounds in a stop's silence, or of the old chord after a push, is heard as a fault
)
STOP_CHART = "| Am7 | Fmaj7 | C! | G |"
PUSH_CHART = "| Am7 | >Fmaj7 | C | >G |"
PATTERNS = {
    "waltz": "waltz",
    "bossa": "bossa nova",
    "samba": "samba",
    "bembe": "bell 12 8",
    "chacha": "cha cha",
    "latin": "tresillo",
    "afrocuban": "tresillo",
}


def is_swung(desk: Desk) -> bool:
    """Return whether the take swings in eighths, or is led by a ride more than by a hat."""
    feel, pieces = desk.known.feel, Counter(hit.piece for hit in desk.groove.hits)
    rides = pieces[Piece.RIDE] + pieces[Piece.RIDE_BELL]
    hats = pieces[Piece.CLOSED_HAT] + pieces[Piece.OPEN_HAT]
    return feel.is_swung or rides > max(hats, len(desk.groove.hits) // 5)


def wanted_pattern(name: str, metre: str) -> str:
    """Return the pattern for a waltz, a compound metre or a Latin style by a take's *name* ("" = none of these)."""
    if re.search(r"_3-4$", name):
        return "waltz"
    if metre in ("6/8", "12/8"):
        return "ballad 6 8" if metre == "6/8" else "bell 12 8"
    return next((pattern for word, pattern in PATTERNS.items() if word in name), "")


def no_root_swung(heard: Heard) -> Count:
    """Count the bars under a chord, of swung and ride-led takes, without a low root near their beginning."""
    return rootless_bars(heard.desk) if is_swung(heard.desk) else Count(0, 0)


def no_root_other(heard: Heard) -> Count:
    """Count such bars of waltzes, compound metres and Latin takes, each with its own pattern."""
    timeline = heard.desk.reading.groove.timeline
    wanted = wanted_pattern(heard.name, str(timeline.metre_at(timeline.lead_ticks)))
    if not wanted:
        return Count(0, 0)
    return rootless_bars(heard.desk.change(named_pattern=read_pattern(wanted)))


def rootless_bars(desk: Desk) -> Count:
    """Count the bars in which the drummer plays and a chord holds, without its root low in the first half-beat.

    A root that was pushed (struck in the last beat before) and still sounds counts; bars of drums alone are left out.
    """
    part, found, worst, of = desk.part, 0, "", 0
    left = [note for note in part.notes if note.hand is Hand.LEFT]
    struck = {part.timeline.bar_at(place).number for place in desk.reading.places}
    for bar in part.timeline.bars():
        span = part.harmony.at(bar.start_tick)
        if span.chord is None or span.cue is not Cue.NONE or bar.number not in struck:
            continue
        of += 1
        until = bar.start_tick + bar.metre.beat_ticks // 2
        pcs = {span.chord.root.pc, span.chord.bass.pc}
        start_tick = desk.reading.played_at(bar.start_tick) + desk.reading.lean_ticks
        rooted = any(
            note.pitch % 12 in pcs
            and bar.start_tick - bar.metre.beat_ticks <= note.meant < until
            and (note.meant >= bar.start_tick or note.end_tick > start_tick)
            for note in left
        )
        if not rooted:
            found += 1
            worst = worst or f"bar {bar.number}"
    return Count(found, of, worst)


def line_faults(heard: Heard) -> Count:
    """Count the low notes of swung takes that leap by more than an octave, or stand in mud with what is struck."""
    if not is_swung(heard.desk):
        return Count(0, 0)
    return faults_of(heard.desk.part.notes)


def faults_of(notes: Sequence[Note]) -> Count:
    """Count leaps and mud in the low notes of *notes*."""
    left = [note for note in notes if note.hand is Hand.LEFT]
    by_role = [note for note in left if note.role in (Role.KICK, Role.BASS) and not note.grace]
    low = list({note.tick: note for note in sorted(by_role, key=lambda n: (n.tick, -n.pitch))}.values())
    found, worst = 0, ""
    by_tick: dict[int, list[int]] = {}
    for note in left:
        by_tick.setdefault(note.tick, []).append(note.pitch)
    for before, note in pairwise([*low[:1], *low]):
        apart = abs(note.pitch - before.pitch) > LEAP
        mud = any(is_muddy(note.pitch, other) for other in by_tick[note.tick] if other > note.pitch)
        if apart or mud:
            found += 1
            worst = worst or f"{'leap' if apart else 'mud'} at tick {note.tick}"
    return Count(found, len(low), worst)


def broken_stops(heard: Heard) -> Count:
    """Count the stops of a chart laid over the take that both hands don't strike whole, or that aren't silent then."""
    desk = heard.desk.change(chart=parse_chart(STOP_CHART))
    faults = [stop_fault(desk, span) for span in desk.harmony.spans if span.cue is Cue.STOP]
    bad = [fault for fault in faults if fault]
    return Count(len(bad), len(faults), next(iter(bad), ""))


def stop_fault(desk: Desk, span: ChordSpan) -> str:
    """Return what is wrong with the stop of *span* ("" = nothing)."""
    part, timeline = desk.part, desk.part.timeline
    struck = [note for note in part.notes if note.meant == span.start_tick]
    assert span.chord is not None
    for hand, fewest in ((Hand.LEFT, 2), (Hand.RIGHT, 3)):
        mine = [note for note in struck if note.hand is hand]
        if len(mine) < fewest:
            return f"{hand} has {len(mine)} keys"
        if hand is Hand.LEFT and any(note.pitch % 12 not in span.chord.pcs for note in mine):
            return "a low note is not the chord's"
    if any(span.start_tick < note.meant < span.end_tick for note in part.notes):
        return "struck in the silence"
    start = timeline.tick_to_sec(min(note.tick for note in struck))
    quiet_sec = start + timeline.tick_to_sec(480) - timeline.tick_to_sec(0) + LATE_SEC
    here = [note for note in part.notes if note.tick <= min(n.tick for n in struck) + 240]
    return "rings on" if any(timeline.tick_to_sec(note.end_tick) > quiet_sec for note in here) else ""


def broken_pushes(heard: Heard) -> Count:
    """Count a chart's pushes that don't sound early in both hands, or under which the old chord sounds on."""
    desk = heard.desk.change(chart=parse_chart(PUSH_CHART))
    spans = desk.harmony.spans
    faults = [push_fault(desk, a, b) for a, b in pairwise(spans) if b.push_ticks]
    bad = [fault for fault in faults if fault]
    return Count(len(bad), len(faults), next(iter(bad), ""))


def push_fault(desk: Desk, before: ChordSpan, span: ChordSpan) -> str:
    """Return what is wrong with the pushed chord of *span* ("" = nothing)."""
    part = desk.part
    assert span.chord is not None
    # Where the drummer swings in threes, the offbeat is written a sixth of a beat later than the chart has it.
    struck = [note for note in part.notes if 0 <= note.meant - span.start_tick <= 160]
    left = [note for note in struck if note.hand is Hand.LEFT]
    if not any(note.pitch % 12 == span.chord.root.pc for note in left):
        return "no root in the left hand"
    if sum(note.hand is Hand.RIGHT for note in struck) < 2:
        return "no chord in the right hand"
    scale = {(span.chord.root.pc + step) % 12 for step in span.chord.scale} | span.chord.pcs
    written = span.start_tick + span.push_ticks
    under = [note for note in part.notes if span.start_tick <= note.meant < written and not note.grace]
    if any(note.role is not Role.MELODY and note.pitch % 12 not in scale for note in under):
        return "the old chord is struck"
    limit = part.timeline.tick_to_sec(min(note.tick for note in struck)) + LATE_SEC
    old = [note for note in part.notes if before.start_tick <= note.meant < span.start_tick]
    rings = [note for note in old if part.timeline.tick_to_sec(note.end_tick) > limit]
    return "the old chord sounds on" if any(note.pitch % 12 not in scale for note in rings) else ""
