"""Condensing on open band files, where a Debian package with such files is installed.

Source: the package openttd-openmsx (31 songs by several composers, GPL-2), which puts its MIDI files under
/usr/share/games/openttd/baseset/openmsx. Not shipped with Handgroove; without the package these checks are skipped.
"""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from handgroove.band.read.read_band import read_band
from handgroove.band.tell.shares import measure
from handgroove.band.write.condensing import condense_band
from handgroove.hands.playability import Severity, check_notes
from handgroove.hands.player import read_player

FOLDER = Path("/usr/share/games/openttd/baseset/openmsx")
SONGS = sorted(FOLDER.glob("*.mid"))[::4]

pytestmark = pytest.mark.skipif(not SONGS, reason="the Debian package openttd-openmsx is not installed")


@pytest.mark.parametrize("song", SONGS, ids=lambda path: path.stem)
def test_an_open_song_is_condensed_as_promised(song: Path) -> None:
    """Bass on 95 in 100 strong beats, kicks and snares as hands allow, all playable, in a twentieth of the time."""
    band = read_band(song)
    started = time.process_time()
    found = condense_band(band)
    took_sec = time.process_time() - started
    figures = measure(found)
    assert figures.melody is None or figures.melody >= 0.99
    assert figures.bass is None or figures.bass >= 0.95
    assert figures.drums_allowed is None or figures.drums_allowed >= 0.95
    assert took_sec < 0.05 * band.timeline.tick_to_sec(band.timeline.end_tick)
    for reach in ("octave", "", "tenth"):
        player = read_player(reach)
        part = condense_band(band, player).part
        troubles = check_notes(part.notes, player, part.timeline)
        assert [t for t in troubles if t.severity is Severity.CANT] == []
