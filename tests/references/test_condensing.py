"""Condensing held against published measures, computed by other people's code.

Sources: C. Raffel, B. McFee, E. Humphrey, J. Salamon, O. Nieto, D. Liang, D. Ellis (2014), "mir_eval: a transparent
implementation of common MIR metrics", ISMIR (note matching within 50 ms); E. Nakamura, K. Yoshii (2018), "Statistical
piano reduction controlling performance difficulty", APSIPA Transactions on Signal and Information Processing 7:e13
(fidelity rises with the difficulty that is allowed); music21's corpus (M. Cuthbert, C. Ariza, 2010, "music21: a
toolkit for computer-aided musicology", ISMIR), whose chorales by J. S. Bach are in the public domain.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import mir_eval
import numpy as np
import pytest

from handgroove.band.read.choices import Choices
from handgroove.band.read.density import Density
from handgroove.band.read.read_band import read_band
from handgroove.band.read.roles import BandRole
from handgroove.band.tell.decisions import Fate, find_fates
from handgroove.band.tell.shares import correlation, measure
from handgroove.band.write.condensing import Condensed, condense_band
from handgroove.hands.playability import Severity, check_notes
from handgroove.strike import Hand

DEMO = Path(__file__).parents[2] / "demo" / "lantern-street-band.mid"


@pytest.fixture(scope="module")
def demo() -> Condensed:
    """Return the demo song's condensing."""
    return condense_band(read_band(DEMO))


def chroma_recall(found: Condensed) -> float:
    """Return mir_eval's recall of the band's lead by the right hand: onsets within 50 ms, pitches by class."""
    sec = found.part.timeline.tick_to_sec

    def rows(notes: Sequence[tuple[int, int]]) -> tuple[np.ndarray, np.ndarray]:
        intervals = np.array([(sec(tick), sec(tick) + 0.1) for tick, _ in notes])
        return intervals, np.array([440.0 * 2 ** ((pitch % 12) / 12) for _, pitch in notes])

    lead = [(note.tick, note.pitch) for note in found.sketch.form.band.track("Lead").notes]
    right = [(note.tick, note.pitch) for note in found.part.hand(Hand.RIGHT)]
    matching = mir_eval.transcription.match_notes(
        *rows(lead), *rows(right), onset_tolerance=0.05, offset_ratio=None
    )
    return len(matching) / len(lead)


def test_the_melodys_recall_is_mir_evals(demo: Condensed) -> None:
    """On the whole part and on parts with notes taken away or moved by 80 ms, our share is mir_eval's recall."""
    chance = random.Random(5)
    shares = []
    for loss in (0.0, 0.2, 0.5):
        notes = [n for n in demo.part.notes if chance.random() >= loss]
        late = [replace(n, tick=n.tick + 133) if chance.random() < loss / 2 else n for n in notes]
        spoilt = replace(demo, part=replace(demo.part, notes=tuple(sorted(late, key=lambda n: n.order))))
        ours = measure(spoilt).melody
        assert ours == pytest.approx(chroma_recall(spoilt), abs=0.02)
        shares.append(ours or 0.0)
    assert shares[0] == 1
    assert shares[0] > shares[1] > shares[2]


def test_the_correlation_is_numpys() -> None:
    """Pearson's r of rows of chance is numpy's to twelve places."""
    chance = random.Random(3)
    for _ in range(20):
        a, b = [chance.random() for _ in range(16)], [chance.random() for _ in range(16)]
        assert correlation(a, b) == pytest.approx(float(np.corrcoef(a, b)[0, 1]), abs=1e-12)


def test_fidelity_rises_with_the_difficulty_that_is_allowed() -> None:
    """As Nakamura and Yoshii (2018) report: denser versions keep more of the band, and ask more notes a second."""
    band = read_band(DEMO)
    kept, density = [], []
    for level in Density:
        found = condense_band(band, choices=Choices(density=level))
        fates = [fate for notes in find_fates(found).values() for _, fate in notes]
        kept.append(sum(fate is not Fate.LEFT_OUT for fate in fates) / len(fates))
        density.append(len(found.part.notes) / found.part.timeline.tick_to_sec(found.part.timeline.end_tick))
    assert all(a < b for a, b in pairwise(kept))
    assert all(a < b for a, b in pairwise(density))


@pytest.mark.parametrize("number", ["66.6", "7.7", "57.8", "26.6"])
def test_a_chorale_keeps_soprano_and_bass(number: str, tmp_path: Path) -> None:
    """Four voices, no drums: the soprano is whole and on top, the bass on strong beats, and hands can play it."""
    from music21 import corpus

    corpus.parse(f"bach/bwv{number}").write("midi", fp=tmp_path / "chorale.mid")
    band = read_band(tmp_path / "chorale.mid")
    voices = sorted(band.tracks, key=lambda t: -sum(n.pitch for n in t.notes) / len(t.notes))
    roles = {voices[0].name: BandRole.MELODY, voices[-1].name: BandRole.BASS}
    found = condense_band(band, choices=Choices(roles=roles))
    figures = measure(found)
    assert figures.melody == figures.melody_on_top == 1
    assert (figures.bass or 0) >= 0.95
    assert (figures.chords or 0) >= 0.9
    troubles = check_notes(found.part.notes, found.sketch.player, found.part.timeline)
    assert [t for t in troubles if t.severity is Severity.CANT] == []
