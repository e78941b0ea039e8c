"""A sounding pitch, as plain as can be."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tone:
    """A pitch that sounds from *tick* to *end_tick*."""

    tick: int
    end_tick: int
    pitch: int
