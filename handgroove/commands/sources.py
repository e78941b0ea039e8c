"""What the options that name music mean: a source, a chart, a kit. Shared by every command that reads music."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from handgroove.groove.hits import Groove
    from handgroove.harmony.chart import Chart
    from handgroove.patterns import Pattern

PATTERN_ENDINGS = (".yaml", ".yml")
USUAL_BARS = 8  # of a pattern, where nothing says how many


def read_chart_option(chart: str, transpose: int = 0) -> Chart | None:
    """Return the chart that an option gives, as bars or as a file, moved by *transpose* semitones; None without one."""
    from handgroove.harmony.chart import parse_chart, read_chart, transpose_chart

    if not chart:
        return None
    read = parse_chart(chart, "--chart") if "|" in chart else read_chart(chart)
    return transpose_chart(read, transpose) if transpose else read


def is_pattern(source: str) -> bool:
    """Return whether *source* names a pattern, and not a MIDI file.

    A folder that bears a pattern's name does not hide the pattern: the last run wrote there.
    """
    from handgroove.patterns import list_patterns

    path = Path(source)
    if path.suffix.lower() in PATTERN_ENDINGS:
        return True
    if path.is_dir():
        return source.strip().lower().replace(" ", "-") in list_patterns()
    return not (path.exists() or path.suffix)


@dataclass(frozen=True, slots=True)
class Sources:
    """How sources are read: *bars*, *tempo_bpm* (0 = their own), the kit's file, channel (0 = any), tracks, pickup."""

    bars: int = 0
    tempo_bpm: float = 0
    kit: str = ""
    channel: int = 10
    tracks: Sequence[str] = ()
    pickup_beats: float = 0

    def read(self, source: str, chart: Chart | None = None) -> tuple[Groove, Pattern | None]:
        """Return the groove that *source* names, and its pattern where it is one, by default as long as *chart*."""
        from handgroove.patterns import read_pattern

        if not is_pattern(source):
            return self._read_midi(source), None
        pattern = read_pattern(source)
        bars = self.bars or (len(chart.bars) if chart else USUAL_BARS)
        return pattern.groove(bars, tempo_bpm=self.tempo_bpm or None), pattern

    def _read_midi(self, source: str) -> Groove:
        from handgroove.errors import Problem, WrongUseError
        from handgroove.groove.kit import GENERAL_MIDI
        from handgroove.groove.read.kitfile import read_kit
        from handgroove.groove.read.smf import read_groove
        from handgroove.timeline import TempoChange, bpm_to_quarter_us

        if self.bars:
            problem = Problem(
                "--bars",
                f"is for patterns, and {source} is a file that has its own bars",
                remedy="leave --bars out",
            )
            raise WrongUseError(problem)
        kit = read_kit(self.kit) if self.kit else GENERAL_MIDI
        pickup_ticks = round(self.pickup_beats * 960)
        groove = read_groove(source, kit, self.channel or None, self.tracks, pickup_ticks)
        if not self.tempo_bpm:
            return groove
        tempos = (TempoChange(0, bpm_to_quarter_us(self.tempo_bpm)),)
        return replace(groove, timeline=replace(groove.timeline, tempos=tempos))
