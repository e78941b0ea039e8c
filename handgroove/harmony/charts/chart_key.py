"""The key of a chart, by its chords alone."""

from __future__ import annotations

from itertools import pairwise

from handgroove.harmony.charts.chart_model import Chart
from handgroove.harmony.symbols.chord_model import Chord, Key
from handgroove.harmony.symbols.key_profiles import all_keys, key_fits
from handgroove.timeline import Metre


def chart_key(chart: Chart) -> Key:
    """Return the key that a chart's chords are in.

    Roots count double, the first and last chord more, and so does a chord that a dominant seventh resolves into.
    """
    weights = [0.0] * 12
    metre = chart.metre or Metre(4, 4)
    placed = []
    for bar in chart.bars:
        metre = bar.metre or metre
        ends = [*(one.offset_ticks for one in bar.chords[1:]), metre.bar_ticks]
        placed += [
            (c.chord, end - c.offset_ticks) for c, end in zip(bar.chords, ends, strict=True) if c.chord
        ]
    if not placed:
        return all_keys()[0]
    for chord, ticks in placed:
        for pc in (*chord.tone_pcs, chord.root.pc):
            weights[pc] += ticks / 960
    fits = key_fits(weights)
    first, last = placed[0][0], placed[-1][0]
    homes = [first] if _is_dominant(last) and last.root != first.root else [first, last]
    for chord in homes:
        fits[_as_tonic(chord)] += 0.15
    resolved = [
        after
        for (before, _), (after, _) in pairwise(placed)
        if _is_dominant(before) and not _is_dominant(after) and (after.root.pc - before.root.pc) % 12 == 5
    ]
    for chord in resolved:
        fits[_as_tonic(chord)] += 0.3 / len(resolved)
    best = all_keys()[max(range(24), key=fits.__getitem__)]
    # The chart's own spelling of the tonic is the musician's (Gb where we would say F#).
    own = next((chord.root for chord, _ in placed if chord.root.pc == best.tonic.pc), best.tonic)
    return Key(own, best.minor)


def _is_dominant(chord: Chord) -> bool:
    """Return whether *chord* has a dominant's third and seventh."""
    return 4 in chord.tones and 10 in chord.tones


def _as_tonic(chord: Chord) -> int:
    """Return the index in all_keys() of the key whose tonic chord *chord* would be."""
    return chord.root.pc + (12 if 3 in chord.tones else 0)
