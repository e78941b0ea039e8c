"""What a band is read from: one row for each kind of file, as in `handgroove.sources.readers`; a row takes the path."""

from __future__ import annotations

from pathlib import Path
from pkgutil import resolve_name

from handgroove.band.read.tracks import Band
from handgroove.sources.readers import MIDI_ENDINGS, Reader, find_reader

BAND_READERS = (Reader("band MIDI file", MIDI_ENDINGS, "handgroove.band.read.read_band:read_band"),)
BAND_ENDINGS = tuple(ending for reader in BAND_READERS for ending in reader.endings)


def read_any_band(path: Path) -> Band:
    """Return the band in the file at *path*, of whatever kind it is."""
    band: Band = resolve_name(find_reader(str(path), BAND_READERS).function)(path)
    return band
