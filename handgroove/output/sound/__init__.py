"""Sound: a recording of the part with a sampled grand piano, the drums beside it, and a player for live use."""

from __future__ import annotations

from handgroove.output.sound.recording import Drums, write_sound

__all__ = ["Drums", "write_sound"]
