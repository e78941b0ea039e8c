"""Made drummers: the library's grooves, played with a lean, a scatter, a drift."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from handgroove.groove.hits import Groove, Hit
from handgroove.patterns import read_pattern


def made(name: str, bars: int = 4, tempo_bpm: float | None = None, lead_bars: int = 0) -> Groove:
    """Return *bars* bars of the pattern called *name* behind *lead_bars* bars of silence, as a file would hold them."""
    groove = read_pattern(name).groove(bars, tempo_bpm=tempo_bpm)
    bar = groove.timeline.metre_at(0).bar_ticks
    timeline = replace(groove.timeline, end_tick=groove.timeline.end_tick + lead_bars * bar)
    return moved(replace(groove, timeline=timeline), lead_bars * bar)


def moved(groove: Groove, ticks: int) -> Groove:
    """Return *groove* with every hit *ticks* later."""
    return replace(groove, hits=tuple(replace(hit, tick=hit.tick + ticks) for hit in groove.hits))


def played(groove: Groove, scatter_ms: float, seed: int = 1) -> Groove:
    """Return *groove* with every hit moved at random, as a player with this scatter (standard deviation) would."""
    random = Random(seed)
    hits = []
    for hit in groove.hits:
        away = random.gauss(0, scatter_ms / 1000) * groove.timeline.tempo_at(hit.tick) * 16
        hits.append(Hit(max(0, hit.tick + round(away)), hit.piece, hit.velocity, hit.note))
    return replace(groove, hits=tuple(sorted(hits, key=lambda hit: hit.order)))


def drifting(groove: Groove, share: float) -> Groove:
    """Return *groove* played with a tempo that comes to be *share* faster at its end."""
    last = groove.hits[-1].tick
    hits = (replace(hit, tick=round(hit.tick * (1 - share / 2 * hit.tick / last))) for hit in groove.hits)
    return replace(groove, hits=tuple(hits))


def ticks_of(groove: Groove, ms: float) -> int:
    """Return *ms* milliseconds in ticks at the groove's tempo."""
    return round(ms / 1000 * groove.timeline.tempo_at(0) * 16)
