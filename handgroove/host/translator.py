"""What a translator is: a small plugin that turns one kind of drum hit into what a hand does at the piano.

A hit translator is causal and works live and offline. A figure translator gets a whole figure's hits, offline, and
live for figures known ahead. Both are pure: no clock, no ports, no files, and no randomness but the moment's seed.
They register under the entry-point group ``handgroove.translators``. What they may take and answer is in
`handgroove.host.fence`: one that fails is bypassed for the song, with a line that names it and its package.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar, Protocol, runtime_checkable

from pydantic import BaseModel, ConfigDict

from handgroove.groove.hits import Hit
from handgroove.strike import LeaveOut, Moment, Strike

Answer = Sequence[Strike] | LeaveOut


class Settings(BaseModel):
    """The base of every translator's settings: what is not a setting is an error, and settings don't change."""

    model_config = ConfigDict(extra="forbid", frozen=True)


@runtime_checkable
class HitTranslator(Protocol):
    """Turns one hit into strikes. The class is called with its settings and must not keep state between hits."""

    name: ClassVar[str]
    summary: ClassVar[str]
    settings_model: ClassVar[type[Settings]]

    def strikes(self, hit: Hit, moment: Moment) -> Answer:
        """Return what the hands are asked to play for *hit* at *moment*, or why nothing."""


@runtime_checkable
class FigureTranslator(Protocol):
    """Turns the hits of a whole figure into strikes, each delayed from the figure's first hit."""

    name: ClassVar[str]
    summary: ClassVar[str]
    settings_model: ClassVar[type[Settings]]

    def figure(self, hits: Sequence[Hit], moments: Sequence[Moment]) -> Answer:
        """Return what the hands are asked to play for *hits*, whose *moments* stand beside them."""
