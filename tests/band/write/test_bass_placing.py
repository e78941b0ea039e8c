"""A bass line under the drums: replies that are clear of it, and figures that land on it."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest

from handgroove.band.read.read_band import read_band
from handgroove.band.tell.shares import measure
from handgroove.band.write.bass_placing import low_for
from handgroove.band.write.condensing import condense_band
from handgroove.band.write.left_hand import land_on_bass
from handgroove.band.write.lines import BASS_HIGH, BASS_LOW
from handgroove.figures.render import render_landing
from handgroove.harmony.voice.low_limits import is_muddy
from handgroove.patterns import read_pattern
from handgroove.strike import Hand
from tests.band.bands import drums, notes, quartet, save, times, track


def test_the_reply_is_clear_of_every_bass_note() -> None:
    """Whatever the bass and the chord, the thumb is up to an octave above the bass and makes no mud with it."""
    for bass, low in product(range(BASS_LOW, BASS_HIGH + 1), range(24, 45)):
        for tones in ((), (0, 4, 7, 10), (2, 5, 9), (1, 6, 8, 11)):
            thumb = low_for(bass, low, tones) + 12
            assert bass + 3 <= thumb <= bass + 12
            assert not is_muddy(bass, thumb)


def test_the_reply_keeps_the_low_notes_own_octave_where_that_is_clear() -> None:
    """Over the bass's A2 a D replies on D3, over its G1 only the octave is clear."""
    assert low_for(45, 38) + 12 == 50
    assert low_for(31, 29, (2, 5, 7, 10)) + 12 == 43
    assert low_for(40, 33) + 12 == 52  # struck with E2, A2 would be mud
    assert low_for(40, 33, together=False) + 12 == 45


@pytest.mark.parametrize("pattern", ["swing-ride", "jazz-waltz", "brushes-ballad", "straight-eighths"])
@pytest.mark.parametrize("line", ["31/4 34/4 38/4 41/4", "36/8 43/8", "28/4 r/4 40/4 r/4", "33/6 45/2 33/8"])
def test_a_snare_on_every_beat_leaves_the_bass_its_strong_beats(
    pattern: str, line: str, tmp_path: Path
) -> None:
    """Whichever reply the pattern asks for, the bass is struck on each strong beat, and the snares with it."""
    tracks = dict(quartet())
    tracks["Drums"] = track("Drums", drums(8, snare="x...x...x...x...", hat="x.x.x.x.x.x.x.x."), 10)
    tracks["Bass"] = track("Bass", times(notes(line), 8), 1, 33)
    band = read_band(save(tmp_path / "band.mid", *tracks.values()))
    found = measure(condense_band(band, pattern=read_pattern(pattern)))
    assert found.bass == 1.0
    assert found.snare == 1.0


def test_a_figure_lands_on_the_bass(tmp_path: Path) -> None:
    """A figure's low octave is the note that the bass strikes with it; where it strikes none it stays."""
    sketch = condense_band(read_band(save(tmp_path / "band.mid", *quartet().values()))).sketch
    note = next(note for note in sketch.bass.notes if note.pitch != 36)
    landing = [
        item
        for item in render_landing(note.tick, note.place, (60,), 36, 100)
        if item.strike.hand is Hand.LEFT
    ]
    (landed,) = land_on_bass(sketch, landing)
    assert landed.strike.pitches == (note.pitch, note.pitch + 12)
    between = [replace(item, place=note.place + 1) for item in landing]
    assert land_on_bass(sketch, between) == between
