"""Hits named in words: ``snare ghosts``, ``hat bars 3 to 8``, ``kick bar 12 beat 3&``.

A selection may name a piece or family, ``ghosts`` or ``accents``, bars (``bar 3``, ``bars 3 to 8``) and a beat as
players count it (``beat 3``, ``beat 3&``), in any order; what it does not name is not narrowed down.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from handgroove.errors import Problem, WrongUseError, did_you_mean
from handgroove.groove.hits import Hit, Stroke
from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.levels import Levels
from handgroove.groove.meant.reading import Reading
from handgroove.timeline import Timeline

_BARS = re.compile(r"\bbars?\s+(\d+)(?:\s*(?:-|to)\s*(\d+))?")
_BEAT = re.compile(r"\bbeat\s+(\d+(?:e|&|a|trip|let)?)(?=\s|$)")
_STROKES = {"ghost": Stroke.GHOST, "ghosts": Stroke.GHOST, "accent": Stroke.ACCENT, "accents": Stroke.ACCENT}
_PLURALS = {f"{name}s": name for name in (*Family, *Piece)}


@dataclass(frozen=True, slots=True)
class Selection:
    """What a selection narrows hits down to; None is any. *text* is how it was written."""

    text: str
    name: str | None = None
    stroke: Stroke | None = None
    bars: tuple[int, int] | None = None
    beat: str | None = None

    def takes(self, hit: Hit, place: int, timeline: Timeline, levels: Levels) -> bool:
        """Return whether *hit*, whose meant place is the written tick *place*, is selected."""
        if self.name is not None and self.name not in (hit.piece, hit.piece.family):
            return False
        if self.stroke is not None and levels.stroke(hit) is not self.stroke:
            return False
        if self.bars is None and self.beat is None:
            return True
        bar, _, beat = timeline.format_position(place).removeprefix("bar ").partition(", beat ")
        in_bars = self.bars is None or self.bars[0] <= int(bar) <= self.bars[1]
        return in_bars and self.beat in (None, beat)


def parse_selection(text: str, place: str = "") -> Selection:
    """Return the selection that *text* spells; raise WrongUseError, at *place*, where a word is not known."""
    rest = " ".join(text.casefold().replace(",", " ").split())
    bars = _BARS.search(rest)
    beat = _BEAT.search(rest)
    for found in (bars, beat):
        rest = rest.replace(found.group(0), " ") if found else rest
    words = rest.split()
    strokes = [word for word in words if word in _STROKES]
    name = " ".join(word for word in words if word not in _STROKES)
    name = _PLURALS.get(name, name)
    known = [str(one) for one in (*Family, *Piece)]
    if name and name not in known:
        remedy = (
            did_you_mean(name, known) or "say it like: snare ghosts, hat bars 3 to 8, kick bar 12 beat 3&"
        )
        raise WrongUseError(Problem(place, f"expected drums, bars or a beat, got {text!r}", remedy=remedy))
    if not (name or strokes or bars or beat):
        raise WrongUseError(Problem(place, f"expected drums, bars or a beat, got {text!r}"))
    first = int(bars.group(1)) if bars else 0
    return Selection(
        text,
        name or None,
        _STROKES[strokes[0]] if strokes else None,
        (first, int(bars.group(2) or first)) if bars else None,
        beat.group(1) if beat else None,
    )


def find_selected(
    selections: Sequence[Selection], reading: Reading, levels: Levels
) -> tuple[list[int], list[str]]:
    """Return the indices of the hits that any of *selections* means, and a message for each that means none."""
    chosen: set[int] = set()
    empty: list[str] = []
    for selection in selections:
        found = set(_matches(selection, reading, levels))
        chosen |= found
        if not found:
            empty.append(f"no hit is meant by {selection.text!r}")
    return sorted(chosen), empty


def _matches(selection: Selection, reading: Reading, levels: Levels) -> Iterable[int]:
    timeline = reading.groove.timeline
    struck = enumerate(zip(reading.groove.hits, reading.places, strict=True))
    return (index for index, (hit, place) in struck if selection.takes(hit, place, timeline, levels))
