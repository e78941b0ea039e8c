"""Fills that return: bars that come back at phrase ends are not the groove, however often they come.

A drummer who plays the same fill every fourth bar ends phrases with it. Such a bar is an idea like any other to
`find_backbone`; here it is told from one: it comes seldom and by itself, and beside the ideas that are left BAR_MODEL
calls it a fill. What goes on, or takes turns with another bar, is groove, toms and all.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from statistics import fmean

from handgroove.groove.know.backbone import Backbone, Idea, find_backbone
from handgroove.groove.know.cells import BarCells
from handgroove.groove.know.fills import BAR_MODEL, weigh_bars
from handgroove.groove.know.leaving import PHRASE

MOST_OFTEN = 0.3  # of the bars that are played: what comes more often is groove
LONGEST_RUN = 2  # bars: a fill is over by then
LEAST_GAP = 3  # bars from one to the next: two bars that take turns are groove
DOUBT = 1.4  # log odds that BAR_MODEL must give to what returns; every return after whole phrases is a sign for it


def set_fills_apart(
    bars: Sequence[BarCells], beats: Sequence[float], leaving: Sequence[int | None]
) -> Backbone:
    """Find the backbone of *bars* (with so many *beats* each), fills that return not counted among its ideas.

    *leaving* says at which beat a bar leaves the time (see `find_leaving`).
    """
    backbone = find_backbone(bars)
    suspects = [idea for idea in backbone.ideas if _comes_as_fills_do(idea, backbone)]
    while suspects:
        without = find_backbone(bars, {index for idea in suspects for index in idea.bars})
        rows = weigh_bars(bars, beats, without)
        kept = [idea for idea in suspects if _is_fill(idea.bars, rows, leaving)]
        if len(kept) == len(suspects):
            return without
        suspects = kept
    return backbone


def _comes_as_fills_do(idea: Idea, backbone: Backbone) -> bool:
    """Return whether an idea's bars come seldom, alone or two in a row, with others between."""
    if len(idea.bars) > MOST_OFTEN * sum(bool(bar.cells) for bar in backbone.bars):
        return False
    run = 1
    for before, after in pairwise(idea.bars):
        run = run + 1 if after == before + 1 else 1
        if run > LONGEST_RUN or 1 < after - before < LEAST_GAP:
            return False
    return True


def _is_fill(indices: Sequence[int], rows: Sequence[Sequence[float]], leaving: Sequence[int | None]) -> bool:
    """Return whether the bars *indices* are fills on the whole, by their signs or by BAR_MODEL's features *rows*."""
    if 2 * sum(leaving[index] is not None for index in indices) > len(indices):
        return True
    even = all((after - before) % PHRASE == 0 for before, after in pairwise(indices))
    needed = DOUBT / len(indices) if even else DOUBT
    return fmean(BAR_MODEL.logit(rows[index]) for index in indices) > needed
