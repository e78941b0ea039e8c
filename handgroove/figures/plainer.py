"""Plainer answers to bars of drums alone than a hook: a vamp, and the groove in octaves."""

from __future__ import annotations

from math import exp

from handgroove.figures.alone import Alone
from handgroove.figures.candidate import Candidate
from handgroove.figures.hook_rhythm import Rhythm
from handgroove.groove.hits import Stroke
from handgroove.groove.kit import Family
from handgroove.strike import Role

VAMP_COST, OCTAVES_COST = 0.7, 0.9  # plainer than a hook, better than none


def vamp(alone: Alone, rhythm: Rhythm, words: str) -> Candidate:
    """Return the first chord on the strokes of *rhythm*, bar after bar; *words* tell of them."""
    asked = [
        alone.ask(
            part.bar.start_tick + clap.offset_ticks,
            alone.voicing_at(part.bar.start_tick),
            Role.COMPING,
            480,
            clap.velocity,
        )
        for part in alone.parts
        for clap in rhythm.claps
        if clap.offset_ticks < part.bar.length_ticks
    ]
    symbol = alone.song.chord_at(alone.parts[0].bar.start_tick).symbol
    reasons = (f"a vamp on {symbol}: plain, and nothing to learn", words)
    return Candidate(
        "a vamp", (), None, round(100 * exp(-VAMP_COST), 1), {}, reasons, tuple(asked), alone.time_hits
    )


def octaves(alone: Alone) -> Candidate:
    """Return the plainest answer: kick and snare of the groove as octaves of the root in the right hand, too."""
    asked, levels = [], alone.song.levels
    for part in alone.parts:
        struck: dict[int, bool] = {}
        for hit, place in zip(part.hits, part.places, strict=True):
            if hit.piece.family in (Family.KICK, Family.SNARE) and levels.stroke(hit) is not Stroke.GHOST:
                struck[place] = struck.get(place, False) or hit.piece.family is Family.SNARE
        for place, is_snare in struck.items():
            low = 60 + (alone.song.chord_at(place).root.pc - 60) % 12
            pitches = (low, low + 12) if is_snare else (low,)
            asked.append(alone.ask(place, pitches, Role.COMPING, 240, 0))
    reasons = ("the groove itself in octaves on the root: two hands of drums",)
    score = round(100 * exp(-OCTAVES_COST), 1)
    return Candidate("octaves on the groove", (), None, score, {}, reasons, tuple(asked), alone.time_hits)
