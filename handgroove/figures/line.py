"""A fill as a line of onsets: strokes together are one onset, flams and drags become grace notes, rolls one long note.

What is a grace and what a roll on one drum, gestures say (see handgroove.groove.meant.gestures); a soft stroke of
another drum just before a louder one is a grace too. The thresholds are ours.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from handgroove.figures.figure_settings import FigureSettings
from handgroove.groove.hits import Hit, Stroke
from handgroove.groove.kit import Family, Piece
from handgroove.groove.know.levels import Levels
from handgroove.groove.meant.gestures import GestureKind
from handgroove.groove.meant.reading import Reading

# What becomes melody; the feet and cymbals keep their jobs.
SUNG = frozenset({Family.SNARE, Family.TOM, Family.HAND})
GRACE_SEC = 0.06  # a flam on two drums lies closer than this
MOST_GRACES = 2
TOGETHER_SEC = 0.018
ROLL_PER_SEC = 14.5  # four strokes of one drum, this fast and faster, are a roll
FEWEST_ROLLED = 4


@dataclass(frozen=True, slots=True)
class Onset:
    """One note's place in a figure: its *tick* and meant *place* (a written tick), the drum's *height*, its loudness.

    *accent* is how strongly it is accented (0 to 1).

    *length_ticks* runs to the next onset. *hits* are the groove's hits that it stands for; *graces* are the grace
    strokes that lead into it, in order: their ticks and hits; *rolled* says that it is a roll. *new_group* marks where
    a new drum or beat starts.
    """

    tick: int
    place: int
    height: int
    piece: Piece
    accent: float
    velocity: int
    length_ticks: int
    hits: tuple[int, ...]
    graces: tuple[tuple[int, int], ...] = ()
    rolled: bool = False
    new_group: bool = False


def make_line(
    reading: Reading,
    indices: Sequence[int],
    levels: Levels,
    end_tick: int,
    settings: FigureSettings,
    also: frozenset[Family] = frozenset(),
) -> tuple[Onset, ...]:
    """Make the line of the hits *indices* that are sung (and the families *also*), up to *end_tick* (a written tick).

    A hit that is meant at *end_tick* belongs to what comes there.
    """
    groove, places = reading.groove, reading.places
    chosen = [(i, groove.hits[i]) for i in indices if groove.hits[i].piece.family in SUNG | also]
    chosen = [(i, hit) for i, hit in chosen if places[i] < end_tick]
    if not chosen:
        return ()
    per_sec = groove.timeline.tempo_at(chosen[0][1].tick) * 16
    onsets = _gather(chosen, reading, levels, round(TOGETHER_SEC * per_sec), round(GRACE_SEC * per_sec))
    onsets = _roll(onsets, per_sec / ROLL_PER_SEC)
    onsets = _thin(onsets, per_sec / settings.fastest_per_sec, settings.busy)
    beat = groove.timeline.metre_at(chosen[0][1].tick).beat_ticks
    return _group(onsets, reading, beat, end_tick)


def _gather(
    chosen: Sequence[tuple[int, Hit]], reading: Reading, levels: Levels, together: int, grace: int
) -> list[Onset]:
    """Join strokes that fall together, and fold what belongs to a gesture into its main stroke."""
    hits = dict(chosen)
    gestures = [gesture for gesture in reading.gestures if gesture.main in hits]
    whole = {g.main: [i for i in g.graces if i in hits] for g in gestures}
    folded = {index for graces in whole.values() for index in graces}
    rolls = {g.main for g in gestures if g.kind is GestureKind.ROLL}
    onsets: list[Onset] = []
    for index, hit in chosen:
        if index in folded:
            continue
        accent = {Stroke.ACCENT: 1.0, Stroke.NORMAL: 0.3, Stroke.GHOST: 0.0}[levels.stroke(hit)]
        own = whole.get(index, [])
        graces = tuple([(hits[i].tick, i) for i in own if hits[i].tick < hit.tick][-MOST_GRACES:])
        place = reading.places[index]
        onset = Onset(
            hit.tick, place, hit.piece.height, hit.piece, accent, hit.velocity, 0, (index, *own), graces
        )
        if index in rolls:
            loudest = max(hits[i].velocity for i in (index, *own))
            onset = replace(onset, accent=1.0, velocity=loudest, rolled=True)
        last = onsets[-1] if onsets else None
        if last is None or hit.tick - last.tick > grace:
            onsets.append(onset)
        elif hit.tick - last.tick <= together:
            main = max(last, onset, key=lambda one: (one.velocity, one.height))
            onsets[-1] = replace(main, hits=(*last.hits, *onset.hits), graces=last.graces or onset.graces)
        elif (
            last.piece is not hit.piece
            and last.velocity < 0.8 * hit.velocity
            and not (onset.graces or last.rolled)
        ):
            graces = (*last.graces, (last.tick, last.hits[0]))[-MOST_GRACES:]
            onsets[-1] = replace(onset, hits=(*last.hits, *onset.hits), graces=graces)
        else:
            onsets.append(onset)
    return onsets


def _roll(onsets: list[Onset], closest: float) -> list[Onset]:
    """Join strokes of one drum that follow faster than *closest* ticks into one rolled onset."""
    joined: list[Onset] = []
    index = 0
    while index < len(onsets):
        last = index
        while (
            last + 1 < len(onsets)
            and onsets[last + 1].piece is onsets[index].piece
            and onsets[last + 1].tick - onsets[last].tick < closest
        ):
            last += 1
        run = onsets[index : last + 1]
        if len(run) >= FEWEST_ROLLED:
            hits = tuple(hit for onset in run for hit in onset.hits)
            loudest = max(onset.velocity for onset in run)
            joined.append(replace(run[0], accent=1.0, velocity=loudest, hits=hits, rolled=True))
        else:
            joined.extend(run)
        index = last + 1
    return joined


def _thin(onsets: list[Onset], closest: float, busy: float) -> list[Onset]:
    """Leave out the weakest onsets: those too close for the hand, then as many as *busy* says; keep their hits."""
    kept = list(onsets)
    while len(kept) > 1:
        crowded = [
            index for index in range(1, len(kept)) if kept[index].tick - kept[index - 1].tick < 0.93 * closest
        ]
        if not crowded:
            break
        worst = min(crowded, key=lambda i: min((kept[i].velocity, i), (kept[i - 1].velocity, i - 1)))
        _fold(kept, worst if kept[worst].velocity <= kept[worst - 1].velocity or worst == 1 else worst - 1)
    strong = sum(onset.accent >= 1.0 for onset in kept) or 1
    wanted = max(strong, round(strong + busy * (len(kept) - strong)))
    while len(kept) > max(1, wanted):
        _fold(kept, min(range(1, len(kept)), key=lambda i: (kept[i].accent, kept[i].velocity, -i)))
    return kept


def _fold(kept: list[Onset], index: int) -> None:
    """Take the onset *index* away; the one before (or after) answers for its hits."""
    gone = kept.pop(index)
    heir = max(0, index - 1)
    kept[heir] = replace(kept[heir], hits=(*kept[heir].hits, *gone.hits))


def _group(onsets: list[Onset], reading: Reading, beat: int, end_tick: int) -> tuple[Onset, ...]:
    """Give each onset its length, mark where groups begin, and lean on the groups' first notes a little."""
    finished = []
    played_end = reading.played_at(end_tick)
    for index, onset in enumerate(onsets):
        following = onsets[index + 1].tick if index + 1 < len(onsets) else played_end
        previous = onsets[index - 1] if index else None
        start = reading.groove.timeline.bar_at(onset.place).start_tick
        on_beat = (onset.place - start) % beat == 0
        begins = previous is None or on_beat or (onset.piece is not previous.piece and _holds(onsets, index))
        accent = max(onset.accent, 0.8) if begins and on_beat else onset.accent
        finished.append(
            replace(onset, length_ticks=max(60, following - onset.tick), new_group=begins, accent=accent)
        )
    return tuple(finished)


def _holds(onsets: list[Onset], index: int) -> bool:
    """Return whether the drum of onset *index* stays for at least two strokes: a new group, not a passing colour."""
    return index + 1 < len(onsets) and onsets[index + 1].piece is onsets[index].piece
