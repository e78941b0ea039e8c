"""Takes played otherwise: with a bar of silence before them, earlier or later, tighter, or with an early first."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from handgroove.groove.hits import Groove, Hit
from handgroove.timeline import MetreChange, TempoChange, Timeline
from tests.laws.played import Played, swing

FLAM_SEC = 0.015  # strokes this near to the first are struck with it


def move_hits(groove: Groove, move: Callable[[Hit], int]) -> Groove:
    """Return *groove* with each hit at the tick that *move* gives it, in order, as a reader of a file would have it."""
    hits = sorted((replace(hit, tick=max(0, move(hit))) for hit in groove.hits), key=lambda hit: hit.order)
    timeline = groove.timeline
    end = timeline.bar_at(hits[-1].tick).end_tick if hits else timeline.end_tick
    return replace(groove, hits=tuple(hits), timeline=replace(timeline, end_tick=end))


def lead_in(groove: Groove) -> Groove:
    """Return *groove* with one silent bar of its first metre before it."""
    old = groove.timeline
    bar = old.metres[0].metre.bar_ticks
    metres = tuple(
        MetreChange(change.tick + bar if change.tick else 0, change.metre) for change in old.metres
    )
    tempos = tuple(TempoChange(one.tick + bar if one.tick else 0, one.quarter_us) for one in old.tempos)
    later = replace(groove, timeline=Timeline(metres, tempos, old.end_tick + bar, old.pickup_ticks))
    return move_hits(later, lambda hit: hit.tick + bar)


def shift(groove: Groove, by_ms: float) -> Groove:
    """Return *groove* with all hits *by_ms* milliseconds later (negative: earlier)."""
    timeline = groove.timeline

    def move(hit: Hit) -> int:
        return hit.tick + round(by_ms / 1000 * 16 * timeline.tempo_at(hit.tick))  # 960 ticks in 60 s: 16

    return move_hits(groove, move)


def loosen(groove: Groove, played: Played, share: float) -> tuple[Groove, list[int]]:
    """Return *groove* with *share* of its microtiming, and for each of its hits the index that it had before.

    A hit's microtiming is counted from where its note is written, played straight or swung; a hit without a note
    is counted from the nearest sixteenth or third.
    """
    timeline, feel = played.timeline, played.part.groove.feel
    moved: list[tuple[Hit, int]] = []
    for index, hit in enumerate(groove.hits):
        notes = played.answers.get(index)
        place = played.place(notes[0]) if notes else nearest(hit.tick)
        tick = round(hit.tick - (1 - share) * (hit.tick - swing(place, feel, timeline)))
        moved.append((replace(hit, tick=max(0, tick)), index))
    moved.sort(key=lambda pair: pair[0].order)
    hits = tuple(hit for hit, _ in moved)
    end = timeline.bar_at(hits[-1].tick).end_tick
    return replace(groove, hits=hits, timeline=replace(groove.timeline, end_tick=end)), [i for _, i in moved]


def nearest(tick: int) -> int:
    """Return the sixteenth or third of a beat that is nearest to *tick*."""
    return min(round(tick / 240) * 240, round(tick / 320) * 320, key=lambda place: abs(place - tick))


def start_early(groove: Groove, early_ms: float) -> Groove | None:
    """Return *groove* with its first stroke *early_ms* before the bar line that it stands at (0 = just on it).

    None where the first stroke is not a bar's first.
    """
    timeline = groove.timeline
    first = groove.hits[0].tick
    bar = timeline.bar_at(first + 120)  # a bar line up to an eighth of a beat later is meant
    if abs(first - bar.start_tick) > 120 or not bar.start_tick:
        return None
    tempo = timeline.tempo_at(first)
    together = first + round(FLAM_SEC * 16 * tempo)
    target = bar.start_tick - round(early_ms / 1000 * 16 * tempo)
    return move_hits(groove, lambda hit: target if hit.tick <= together else hit.tick)
