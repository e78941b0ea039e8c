"""What a groove is read from: one row for each kind of source; every command that reads grooves goes by this table.

A row's function takes the source, the `ReadOptions` and the chart or None, and returns the groove, and the pattern
where the source is one. It is fetched when it is used, with the libraries that it needs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from pkgutil import resolve_name
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from handgroove.groove.hits import Groove
    from handgroove.groove.kit import Kit
    from handgroove.groove.know.knowledge import Knowledge
    from handgroove.harmony.chart import Chart
    from handgroove.patterns import Pattern


@dataclass(frozen=True, slots=True)
class ReadOptions:
    """How sources are read: *tempo_bpm* (0 = their own), the kit's file, channel (0 = any), tracks, pickup.

    *bars* are how many bars of a pattern: 0 as many as the chart has, None once through.
    """

    bars: int | None = 0
    tempo_bpm: float = 0
    kit_file: str = ""
    channel: int = 10
    tracks: Sequence[str] = ()
    pickup_beats: float = 0

    def kit(self) -> Kit:
        """Return the kit that numbers are read with."""
        from handgroove.groove.read.kitfile import read_kit

        return read_kit(self.kit_file)


@dataclass(frozen=True, slots=True)
class Reader:
    """One kind of source: its *name*, the *endings* of its files, and ``module:function``.

    *named* says of a source without a known ending whether it is of this kind; *sounding*, when pitched notes sound.
    """

    name: str
    endings: tuple[str, ...]
    function: str
    named: str = ""
    sounding: str = ""


MIDI_ENDINGS = (".mid", ".midi", ".smf", ".kar")

READERS = (
    Reader(
        "pattern",
        (".yaml", ".yml"),
        "handgroove.sources.pattern_source:read_pattern_groove",
        named="handgroove.sources.pattern_source:names_pattern",
    ),
    Reader(
        "drum MIDI file",
        MIDI_ENDINGS,
        "handgroove.sources.midi_source:read_drums",
        sounding="handgroove.sources.midi_source:read_sounding_beside",
    ),
)


def endings() -> tuple[str, ...]:
    """Return the endings of all files that grooves are read from."""
    return tuple(ending for reader in READERS for ending in reader.endings)


def find_reader(source: str, readers: Sequence[Reader] = ()) -> Reader:
    """Return the row for *source*: by its ending, else by its name; the last row says what is wrong with the rest."""
    readers, ending = readers or READERS, Path(source).suffix.lower()
    for reader in readers:
        if ending in reader.endings:
            return reader
    named = (reader for reader in readers if reader.named and resolve_name(reader.named)(source))
    return next(named, readers[-1])


def read_source(
    source: str, options: ReadOptions, chart: Chart | None = None
) -> tuple[Groove, Pattern | None]:
    """Return the groove that *source* names, by default as long as *chart*, and its pattern where it is one."""
    read: tuple[Groove, Pattern | None] = resolve_name(find_reader(source).function)(source, options, chart)
    return read


def know_source(source: str, options: ReadOptions) -> tuple[Knowledge, Pattern | None]:
    """Return what is known of the groove that *source* names, and its pattern where it is one."""
    from handgroove.groove.know.knowledge import know_groove

    groove, pattern = read_source(source, options)
    sounding = find_reader(source).sounding
    return know_groove(groove, sounding=resolve_name(sounding)(source, options) if sounding else ()), pattern
