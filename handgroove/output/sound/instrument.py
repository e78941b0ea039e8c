"""The piano as a player hears it: which sources sound for a key and velocity, how loud and how bright."""

from __future__ import annotations

from functools import cached_property
from pathlib import Path

from handgroove.output.sound.soundfont import Region, SoundFont, read_soundfont
from handgroove.output.sound.source import SampleSource, make_source, step_of

PIANO = Path(__file__).parent / "data" / "piano.sf3"


class Instrument:
    """A SoundFont's piano. Samples are decoded when they are first wanted, and kept."""

    def __init__(self, font: SoundFont) -> None:
        self.font = font
        self._sources: dict[Region, SampleSource] = {}
        self._found: dict[tuple[int, int], tuple[Region, ...]] = {}

    @cached_property
    def _edges(self) -> tuple[int, int]:
        regions = self.font.regions
        return min(r.keys[0] for r in regions), max(r.keys[1] for r in regions)

    def regions(self, pitch: int, velocity: int) -> tuple[Region, ...]:
        """Return the regions that sound for *pitch* at *velocity*; beyond the font's keys, those of its last key."""
        key = (pitch, velocity)
        if key not in self._found:
            inside = min(max(pitch, self._edges[0]), self._edges[1])
            self._found[key] = tuple(r for r in self.font.regions if r.holds(inside, velocity))
        return self._found[key]

    def source(self, region: Region) -> SampleSource:
        """Return the region's source."""
        if region not in self._sources:
            self._sources[region] = make_source(region, *self.font.sample(region.sample))
        return self._sources[region]

    def step(self, region: Region, pitch: int) -> float:
        """Return how fast the region's sample is read for *pitch*."""
        return step_of(region, self.source(region).rate, pitch)

    def brightness(self, pitch: int, velocity: int) -> float:
        """Return how much of the full sample, against its dark twin, a stroke has: more the harder it is.

        A font with samples of its own for soft and hard strokes is left as it was recorded.
        """
        soft, hard = (frozenset(r.sample for r in self.regions(pitch, v)) for v in (20, 120))
        return 1.0 if soft != hard else 1.15 * (velocity / 127) ** 1.3


def gain_of(velocity: int) -> float:
    """Return the gain of a stroke, 0 to 1: 40 dB for each tenfold of velocity (SoundFont 2.04, section 8.4.1)."""
    return (velocity / 127) ** 2


def read_instrument(path: Path | None = None) -> Instrument:
    """Read the piano of the SoundFont at *path*, or the one that comes with Handgroove."""
    return Instrument(read_soundfont(path or PIANO))
