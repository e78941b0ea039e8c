"""A MIDI file with drums in it as a source."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from handgroove.errors import Problem, WrongUseError
from handgroove.groove.read.pitched import read_sounding
from handgroove.groove.read.smf import DRUM_CHANNEL, read_groove
from handgroove.timeline import TICKS_PER_QUARTER, TempoChange, bpm_to_quarter_us

if TYPE_CHECKING:
    from handgroove.groove.hits import Groove
    from handgroove.harmony.chart import Chart
    from handgroove.sources.readers import ReadOptions


def read_drums(source: str, options: ReadOptions, chart: Chart | None) -> tuple[Groove, None]:
    """Return the groove in the MIDI file *source*; raise HandgrooveError where it has none."""
    del chart  # a file has its own bars
    if options.bars:
        text = f"is for patterns, and {source} is a file that has its own bars"
        raise WrongUseError(Problem("--bars", text, remedy="leave --bars out"))
    pickup_ticks = round(options.pickup_beats * TICKS_PER_QUARTER)
    groove = read_groove(source, options.kit(), options.channel or None, options.tracks, pickup_ticks)
    if options.tempo_bpm:
        tempos = (TempoChange(0, bpm_to_quarter_us(options.tempo_bpm)),)
        groove = replace(groove, timeline=replace(groove.timeline, tempos=tempos))
    return groove, None


def read_sounding_beside(source: str, options: ReadOptions) -> tuple[tuple[int, int], ...]:
    """Return when pitched notes sound beside the drums (ticks); nothing where a channel or track was chosen."""
    return read_sounding(source) if options.channel == DRUM_CHANNEL and not options.tracks else ()
