"""Handgroove turns a drummer's groove into a piano part that two hands can play.

Names are fetched where they are first used, so that ``import handgroove`` stays quick.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"

_HOMES = {
    "HandgrooveError": "handgroove.errors",
    "read_groove": "handgroove.groove.read.smf",
    "read_chart": "handgroove.harmony.chart",
    "parse_chart": "handgroove.harmony.chart",
    "read_pattern": "handgroove.patterns",
    "read_player": "handgroove.hands.player",
    "translate": "handgroove.job",
    "read_band": "handgroove.band.read.read_band",
    "condense": "handgroove.band.write.condensing",
    "write_midi": "handgroove.output.midi",
}

__all__ = ["__version__", *_HOMES]  # noqa: PLE0604 (the table holds strings)


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'handgroove' has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
