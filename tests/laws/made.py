"""Made takes: the library's patterns as a human being plays them, and players that are hard to read.

A stroke's scatter is drawn from a normal distribution that is cut at 2.5 deviations (drummers' timing: common practice,
no source). Every take is the same for the same numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random

import mido

from handgroove import read_pattern
from handgroove.groove.hits import Feel, Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.groove.read.rows import NOTE_OF
from handgroove.timeline import Metre, MetreChange, TempoChange, Timeline, bpm_to_quarter_us

CUT = 2.5  # deviations: no stroke is farther off than this


@dataclass(frozen=True, slots=True)
class Drummer:
    """How someone plays: *scatter_ms* (a deviation), *lean_ms* (behind: positive), how *uneven* in loudness."""

    scatter_ms: float = 8.0
    lean_ms: float = 0.0
    uneven: int = 6
    seed: int = 0


def humanise(groove: Groove, drummer: Drummer) -> Groove:
    """Return *groove* as *drummer* plays it, hit for hit in the same order; nothing is played before tick 0."""
    random = Random(drummer.seed)
    timeline = groove.timeline
    moved = []
    for hit in groove.hits:
        off = random.gauss(0.0, drummer.scatter_ms)
        off = max(-CUT * drummer.scatter_ms, min(CUT * drummer.scatter_ms, off)) + drummer.lean_ms
        tick = max(0, hit.tick + round(off / 1000 * 16 * timeline.tempo_at(hit.tick)))
        velocity = max(1, min(127, hit.velocity + random.randint(-drummer.uneven, drummer.uneven)))
        moved.append(replace(hit, tick=tick, velocity=velocity))
    return replace(groove, hits=tuple(sorted(moved, key=lambda hit: hit.order)))


def pattern_take(
    name: str, bars: int, tempo_bpm: float, drummer: Drummer, *, fill_bars: Sequence[int] = ()
) -> Groove:
    """Return pattern *name*, *bars* long, as *drummer* plays it; its feel is left for the reading to find."""
    pattern = read_pattern(name)
    fills = {bar: pattern.fills[0].name for bar in fill_bars if pattern.fills}
    return replace(humanise(pattern.groove(bars, fills=fills, tempo_bpm=tempo_bpm), drummer), feel=Feel())


def fill_clip(name: str, tempo_bpm: float, drummer: Drummer) -> Groove:
    """Return the first fill of pattern *name* alone, with the stroke that it lands on."""
    pattern = read_pattern(name)
    bars = pattern.fills[0].bars
    whole = pattern.groove(bars + 1, fills={1: pattern.fills[0].name}, tempo_bpm=tempo_bpm)
    landing = bars * pattern.metre.bar_ticks
    hits = tuple(hit for hit in whole.hits if hit.tick <= landing)
    return replace(humanise(replace(whole, hits=hits), drummer), feel=Feel())


def strokes(ticks: Sequence[tuple[int, Piece, int]], tempo_bpm: float = 112, bars: int = 0) -> Groove:
    """Return a groove in 4/4 of (tick, piece, velocity) *ticks* that ends with the last one's bar, or after *bars*."""
    hits = sorted(
        (Hit(t, piece, velocity, NOTE_OF[piece]) for t, piece, velocity in ticks), key=lambda hit: hit.order
    )
    timeline = Timeline.of(Metre(4, 4), tempo_bpm, max(1, bars))
    end = max(timeline.end_tick, timeline.bar_at(hits[-1].tick).end_tick)
    return Groove(tuple(hits), replace(timeline, end_tick=end), "made")


def only_flams(bars: int = 4) -> Groove:
    """Return a take of nothing but snare flams, one a beat, each grace 30 ms before its main stroke."""
    grace = round(0.030 * 16 * 112)
    ticks = []
    for beat in range(1, 4 * bars):
        ticks += [(960 * beat - grace, Piece.SNARE, 50), (960 * beat, Piece.SNARE, 100)]
    return strokes(ticks)


def drifting(bars: int = 16, share: float = 0.05) -> Groove:
    """Return straight eighths that slow down evenly by *share* from first to last under an unchanging click."""
    groove = read_pattern("straight-eighths").groove(bars)
    end = bars * 3840
    late = [replace(hit, tick=round(hit.tick * (1 + share * hit.tick / end / 2))) for hit in groove.hits]
    return humanise(replace(groove, hits=tuple(late), feel=Feel()), Drummer(seed=3))


def two_songs() -> Groove:
    """Return a rock song in 4/4, four silent bars, and a waltz at another tempo, all in one file."""
    rock = pattern_take("straight-eighths", 8, 112, Drummer(seed=1))
    waltz = pattern_take("waltz", 8, 156, Drummer(seed=2))
    start = 12 * 3840
    hits = (*rock.hits, *(replace(hit, tick=hit.tick + start) for hit in waltz.hits))
    timeline = Timeline(
        (MetreChange(0, Metre(4, 4)), MetreChange(start, Metre(3, 4))),
        (TempoChange(0, bpm_to_quarter_us(112)), TempoChange(start, bpm_to_quarter_us(156))),
        start + 8 * 2880,
    )
    return Groove(hits, timeline, "two songs")


def before_bar_one() -> Groove:
    """Return a groove with a pickup bar of one beat in which two snares lead to bar 1."""
    body = pattern_take("straight-eighths", 4, 112, Drummer(seed=4))
    hits = (
        Hit(0, Piece.SNARE, 90, NOTE_OF[Piece.SNARE]),
        Hit(470, Piece.SNARE, 100, NOTE_OF[Piece.SNARE]),
        *(replace(hit, tick=hit.tick + 960) for hit in body.hits),
    )
    timeline = replace(body.timeline, end_tick=body.timeline.end_tick + 960, pickup_ticks=960)
    return replace(body, hits=hits, timeline=timeline)


def triplets_in_four(bars: int = 8) -> Groove:
    """Return a 12/8 groove that its file calls 4/4: the hat in triplets, kick on 1 and 3, snare on 2 and 4."""
    ticks = [(320 * i, Piece.CLOSED_HAT, 100 if i % 3 == 0 else 70) for i in range(12 * bars)]
    ticks += [(1920 * i, Piece.KICK, 100) for i in range(2 * bars)]
    ticks += [(960 + 1920 * i, Piece.SNARE, 105) for i in range(2 * bars)]
    return humanise(strokes(ticks, 76, bars), Drummer(seed=5))


def rubato(count: int = 120) -> Groove:
    """Return strokes without a beat to speak of: gaps from a seventh of a second to over a second, by chance."""
    random, tick, ticks = Random(6), 0, []
    for _ in range(count):
        ticks.append(
            (tick, random.choice((Piece.KICK, Piece.SNARE, Piece.CLOSED_HAT)), random.randint(40, 115))
        )
        tick += round(random.lognormvariate(6.4, 0.6)) + 150
    return strokes(ticks)


def write_take(groove: Groove, path: Path) -> Path:
    """Write *groove*'s hits, metres and tempos to *path* as a MIDI file on channel 10, as a drummer's recorder would.

    A pickup is written as a first bar in its own shorter metre.
    """
    timeline = groove.timeline
    events: list[tuple[int, mido.MetaMessage | mido.Message]] = []
    for index, change in enumerate(timeline.metres):
        metre, at = change.metre, change.tick
        if index == 0 and timeline.pickup_ticks:
            short = timeline.pickup_ticks // metre.unit_ticks
            events.append((0, mido.MetaMessage("time_signature", numerator=short, denominator=metre.unit)))
            at = timeline.pickup_ticks
        events.append((at, mido.MetaMessage("time_signature", numerator=metre.beats, denominator=metre.unit)))
    events += [(one.tick, mido.MetaMessage("set_tempo", tempo=one.quarter_us)) for one in timeline.tempos]
    for hit in groove.hits:
        note = hit.note or NOTE_OF[hit.piece]
        events.append((hit.tick, mido.Message("note_on", channel=9, note=note, velocity=hit.velocity)))
        events.append((hit.tick + 30, mido.Message("note_off", channel=9, note=note)))
    track, before = mido.MidiTrack(), 0
    for tick, message in sorted(events, key=lambda event: (event[0], event[1].type == "note_on")):
        track.append(message.copy(time=tick - before))
        before = tick
    mido.MidiFile(tracks=[track], ticks_per_beat=960).save(path)
    return path
