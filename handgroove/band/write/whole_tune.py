"""Settling with the melody whole: where the solver drops a note of it, what crowds it steps aside."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from handgroove.band.write.sketch import Sketch
from handgroove.desk.finish import Song
from handgroove.hands.settle import Settled
from handgroove.part import Change, Omission
from handgroove.strike import Asked, Hand, Role

_ROUNDS = 2
_CLEAR_SEC = 0.4  # so far around a lost note the right hand is cleared
_TUNE_WEIGHT = 2.0  # from here up a strike is the melody's own, not a hook


def settle_tune(
    sketch: Sketch, song: Song, asked: Sequence[Asked], keep: Sequence[int], leave_out: Sequence[int]
) -> tuple[Settled, list[Omission]]:
    """Return what the sketch's player can play of *asked*, and a line for all that gave way to a whole melody.

    *keep* and *leave_out* are indices of the groove's hits.
    """
    cleared: list[Omission] = []
    asked = list(asked)
    settled = song.settle(asked, keep=keep, leave_out=leave_out, free=(Role.MELODY,))
    for _ in range(_ROUNDS):
        lost = _find_lost(sketch, settled)
        if not lost:
            break
        crowd = [item for item in asked if _crowds(item, lost, sketch)]
        if not crowd:
            break
        gone = set(map(id, crowd))
        asked = [item for item in asked if id(item) not in gone]
        reason = "it gives way so that the melody is whole"
        names = [hit.piece.value for hit in sketch.form.groove.hits]
        cleared += [
            Omission(
                item.meant,
                Change.LEFT_OUT,
                names[item.hits[0]] if item.hits else "chord",
                reason,
                item.strike.hand,
                item.hits,
            )
            for item in crowd
        ]
        settled = song.settle(asked, keep=keep, leave_out=leave_out, free=(Role.MELODY,))
    return settled, cleared


def _find_lost(sketch: Sketch, settled: Settled) -> list[int]:
    """Return the ticks, in order, of the melody's notes that are not struck."""
    struck = {(note.meant, note.pitch % 12) for note in settled.notes if note.hand is Hand.RIGHT}
    return [note.tick for note in sketch.melody.notes if (note.place, note.pitch % 12) not in struck]


def _crowds(item: Asked, lost: Sequence[int], sketch: Sketch) -> bool:
    """Return whether *item* is the right hand's, not the melody's own, and close to a *lost* note."""
    strike = item.strike
    if strike.hand is not Hand.RIGHT or (strike.role is Role.MELODY and strike.weight >= _TUNE_WEIGHT):
        return False
    slack = round(_CLEAR_SEC * sketch.per_sec(item.tick))
    index = bisect_left(lost, item.tick - slack)
    return index < len(lost) and lost[index] <= item.tick + slack
