"""What the five steps of ease keep of a drummer, beside what people keep who bring drums down to two hands.

Those people: B. Haki, B. Kotowski, C. L. I. Lee, S. Jordà (2023), "TapTamDrum: a dataset for dualized drum patterns",
ISMIR: 1,116 takes kept 92 % of the snares, 84 % of the kicks, 68 % of the ghosts and 61 % of the rest, in about 19
strokes of two bars; people agree with each other with an F1 of 0.755. Their takes are not here, so no F1 is counted.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from itertools import pairwise

from handgroove.groove.kit import Family
from handgroove.hands.ease import BY_STEP, find_hits
from handgroove.part import Part
from tests.tools.kept import GHOST_BELOW, kind_of
from tests.tools.music.heard import Count, Heard

PEOPLE = {"snare": "92%", "kick": "84%", "ghost": "68%", "": "61%"}
PEOPLES_STROKES = 19  # in two bars
WHOLE = 3  # the place of "as is" among the steps


def count_lost_above(heard: Heard) -> Count:
    """Count the strokes that sound at a step and not at the next one up."""
    sounding = [find_hits(part.notes) for part in heard.steps]
    lost = [plainer - fuller for plainer, fuller in pairwise(sounding)]
    worst = next((f"{BY_STEP[at]}: hits {sorted(gone)[:5]}" for at, gone in enumerate(lost) if gone), "")
    return Count(sum(map(len, lost)), sum(map(len, sounding[:-1])), worst)


def find_carriers(part: Part) -> set[int]:
    """Return the kicks meant on a bar's 1 and the main snares meant on every second beat."""
    found = set()
    for index, (hit, place) in enumerate(zip(part.groove.hits, part.places, strict=True)):
        bar = part.timeline.bar_at(place)
        beat, beside = divmod(place - bar.start_tick, bar.metre.beat_ticks)
        is_kick = hit.piece.family is Family.KICK and place == bar.start_tick
        is_snare = hit.piece.family is Family.SNARE and hit.velocity >= GHOST_BELOW
        if bar.number and (is_kick or (is_snare and beat % 2 == 1 and not beside)):
            found.add(index)
    return found


def count_carriers(heard: Heard, step: int) -> Count:
    """Count the kicks on 1 and the backbeats of the part as it is that sound at *step* (from 0) too."""
    reading = heard.desk.reading
    carriers = (find_carriers(heard.part) - reading.graces) & find_hits(heard.steps[WHOLE].notes)
    kept = carriers & find_hits(heard.steps[step].notes)
    lost = sorted(carriers - kept)
    return Count(len(kept), len(carriers), f"hits {lost[:5]} lost" if lost else "")


def count_kind(heard: Heard, step: int, kind: str) -> Count:
    """Count the strokes of *kind* ("" = neither kick nor snare) that sound at *step*; graces are no strokes here."""
    part, graces = heard.steps[step], heard.desk.reading.graces
    own = {i for i, hit in enumerate(part.groove.hits) if kind_of(hit) == kind and i not in graces}
    return Count(len(own & find_hits(part.notes)), len(own))


def count_strokes(heard: Heard, step: int) -> Count:
    """Count each hand's strokes at *step*, of as many as people would make in these bars."""
    part = heard.steps[step]
    strokes = {(note.hand, note.meant) for note in part.notes if not note.grace}
    bars = sum(bool(part.hits) for part in heard.desk.known.bars)
    return Count(len(strokes), round(bars * PEOPLES_STROKES / 2))


def count_added(heard: Heard) -> Count:
    """Count the notes that harder adds, of those that there are as it is."""
    whole, full = (len(heard.steps[step].notes) for step in (WHOLE, -1))
    return Count(full - whole, whole)


MEASURES: dict[str, tuple[Callable[[Heard], Count], str]] = {
    "steps: strokes lost one step up": (count_lost_above, "none"),
    "steps: notes that harder adds": (count_added, "some"),
}
for _step, _ease in enumerate(BY_STEP):
    MEASURES[f"{_ease}: kicks on 1 and backbeats"] = partial(count_carriers, step=_step), "all"
    for _kind, _share in PEOPLE.items():
        MEASURES[f"{_ease}: {_kind or 'other stroke'}s"] = (
            partial(count_kind, step=_step, kind=_kind),
            f"people keep {_share}",
        )
    MEASURES[f"{_ease}: strokes"] = partial(count_strokes, step=_step), "people: 100% (19 in two bars)"
