"""Sound: a recording of the part with a sampled grand piano, the drums beside it, and a piano to play live.

Names are fetched where they are first used, so that a command's help can tell of hearing without loading numpy.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from handgroove.output.sound.device import SoundPort, open_sound
    from handgroove.output.sound.recording import Drums, format_sound

__all__ = ["HEARING", "Drums", "SoundPort", "format_sound", "open_sound"]

HEARING = (
    "Mind your hearing: start quietly, above all with headphones. For workers, NIOSH (1998) recommends at most 8 hours "
    "a day at 85 dB(A) and half of that for every 3 dB more: 1 hour at 94, a quarter at 100. This is a caution, not "
    "medical advice."
)

_HOMES = {"format_sound": "recording", "Drums": "recording", "open_sound": "device", "SoundPort": "device"}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
