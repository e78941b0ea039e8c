"""Fills that return: bars that come back at phrase ends are not the groove, however often they come.

A drummer who plays the same fill every fourth bar ends phrases with it. Such a bar is an idea like any other to
`find_backbone`; here it is told from one: it comes seldom and by itself, and beside the ideas that are left BAR_MODEL
calls it a fill. What goes on, or takes turns with another bar, is groove, toms and all.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from handgroove.groove.know.backbone import Backbone, Idea, find_backbone
from handgroove.groove.know.cells import BarCells
from handgroove.groove.know.fills import BAR_MODEL, weigh_bars

MOST_OFTEN = 0.3  # of the bars that are played: what comes more often is groove
LONGEST_RUN = 2  # bars: a fill is over by then
LEAST_GAP = 3  # bars from one to the next: two bars that take turns are groove
MARGIN = 0.0


def set_fills_apart(bars: Sequence[BarCells], beats: Sequence[float]) -> Backbone:
    """Find the backbone of *bars* (with so many *beats* each), fills that return not counted among its ideas."""
    backbone = find_backbone(bars)
    suspects = [idea for idea in backbone.ideas if _comes_as_fills_do(idea, backbone)]
    while suspects:
        without = find_backbone(bars, {index for idea in suspects for index in idea.bars})
        rows = weigh_bars(bars, beats, without)
        kept = [idea for idea in suspects if _is_fill(rows[index] for index in idea.bars)]
        if len(kept) == len(suspects):
            return without
        suspects = kept
    return backbone


def _comes_as_fills_do(idea: Idea, backbone: Backbone) -> bool:
    played = sum(bool(bar.cells) for bar in backbone.bars)
    if len(idea.bars) > MOST_OFTEN * played:
        return False
    return _seldom(idea.bars)


def _seldom(indices: Sequence[int]) -> bool:
    """Return whether bars come alone (or a few in a row), with others between."""
    run = 1
    for before, after in pairwise(indices):
        run = run + 1 if after == before + 1 else 1
        if run > LONGEST_RUN or 1 < after - before < LEAST_GAP:
            return False
    return True


def _is_fill(rows: Iterable[Sequence[float]]) -> bool:
    logits = [BAR_MODEL.logit(row) for row in rows]
    return sum(logits) / len(logits) > MARGIN
