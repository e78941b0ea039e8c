"""Hooks: what the right hand plays where the drums are alone, beside what the drummer plays there.

Each take is asked for the drums of its first four (or two) bars alone over Am7, as ``| drums | drums | Am7 | ... |``
in a chart asks. What sounds is counted: the right hand's melody in the finished part, where the hook is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from math import sqrt
from statistics import correlation, fmean

from handgroove.desk.desk import Desk
from handgroove.figures.candidate import Candidate
from handgroove.groove.know.cells import VOICES, Voice
from handgroove.harmony.chart import parse_chart
from handgroove.strike import Hand, Role
from tests.tools.music.heard import Count, Heard, Match

TAKES, BARS, INTRO = 22, 4, 2
KEEPS_TIME = frozenset({Voice.TIME, Voice.RIDE, Voice.PEDAL, Voice.CRASH})
STEP_TICKS = 240
Places = dict[int, float]  # what is at each sixteenth


@dataclass(frozen=True)
class Hook:
    """What sounds of one hook: its notes as (written ticks from its start, top pitch, velocity), and its bars' length.

    *loud* and *heights* are the drums of those bars: how loud each sixteenth is, and how high its drum sounds. *played*
    are the velocities of drums and notes at the same places.
    """

    notes: tuple[tuple[int, int, int], ...]
    bar_ticks: int
    bars: int
    loud: Places
    heights: Places
    played: tuple[tuple[int, int], ...]
    candidates: tuple[Candidate, ...]

    def bar(self, number: int) -> tuple[tuple[int, int], ...]:
        """Return the notes of one bar (from 0): where in it, and the top pitch."""
        start = number * self.bar_ticks
        return tuple(
            (at - start, pitch) for at, pitch, _ in self.notes if start <= at < start + self.bar_ticks
        )


def find_hook(heard: Heard, bars: int = BARS) -> Hook | None:
    """Return the hook over the first *bars* bars of drums alone; None where the take is shorter or gets none."""
    known = heard.desk.known
    if len(known.bars) <= bars:
        return None
    chart = "| drums " * bars + "| Am7 " * (len(known.bars) + 1 - bars) + "|"
    desk = Desk(heard.desk.groove, parse_chart(chart))
    places = [place for place in desk.places.places if place.what == "drums alone"]
    if not places or places[0].best is None:
        return None
    meant = {item.meant for item in places[0].best.asked}
    tops: dict[int, tuple[int, int]] = {}
    for note in desk.part.notes:
        if note.role is Role.MELODY and note.hand is Hand.RIGHT and note.meant in meant:
            tops[note.meant] = max(tops.get(note.meant, (0, 0)), (note.pitch, note.velocity))
    timeline = desk.reading.groove.timeline
    start = max(timeline.bar_at(min(meant)).start_tick, timeline.first_tick)  # after a pickup
    length = timeline.bar_at(start).length_ticks
    struck: dict[int, list[tuple[int, int, bool]]] = {}
    for hit, place in zip(desk.reading.groove.hits, desk.reading.places, strict=True):
        drum = (hit.velocity, hit.piece.height, VOICES[hit.piece] in KEEPS_TIME)
        struck.setdefault(place, []).append(drum)
    inside = {place: drums for place, drums in struck.items() if 0 <= place - start < BARS * length}
    return Hook(
        tuple((place - start, *tops[place]) for place in sorted(tops) if place >= start),
        length,
        (max(meant) - start) // length + 1,
        {
            round((p - start) / STEP_TICKS): float(max(drum[0] for drum in drums))
            for p, drums in inside.items()
        },
        {
            round((p - start) / STEP_TICKS): float(
                max((not time, loud, high) for loud, high, time in drums)[2]
            )
            for p, drums in inside.items()
        },
        tuple((max(drum[0] for drum in struck[p]), tops[p][1]) for p in sorted(tops) if p in struck),
        places[0].candidates,
    )


def two_bars_without_repeat(heard: Heard) -> Count:
    """Count two-bar hooks whose second bar has less than half of the first one's rhythm."""
    hook = find_hook(heard, INTRO)
    if hook is None or hook.bars < INTRO:
        return Count(0, 0)
    first, second = ({at for at, _ in hook.bar(number)} for number in range(INTRO))
    return Count(int(2 * len(first & second) < len(first)), 1, f"{sorted(first)} and {sorted(second)}")


def shape(candidate: Candidate) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Return what the ear tells candidates by: their rhythm and their contour (top notes)."""
    tops = [item.strike.pitches[-1] for item in candidate.asked]
    return tuple(item.meant for item in candidate.asked), tuple((b > a) - (b < a) for a, b in pairwise(tops))


def candidates_alike(heard: Heard) -> Count:
    """Count pairs of candidates that share both rhythm and contour."""
    hook = find_hook(heard)
    pairs = list(combinations([shape(candidate) for candidate in hook.candidates], 2)) if hook else []
    return Count(sum(one == other for one, other in pairs), len(pairs), "two sound alike")


def choose_hooks(heards: Sequence[Heard]) -> list[Hook]:
    """Return the hooks of the first so many beat takes by name; a fill in the fourth bar leaves three bars."""
    beats = sorted((heard for heard in heards if "_beat_" in heard.name), key=lambda heard: heard.name)
    found = (find_hook(heard) for heard in beats)
    return [hook for hook in found if hook is not None and hook.bars >= BARS - 1][:TAKES]


def distinct_ideas(heards: Sequence[Heard]) -> Match:
    """Count different first bars (rhythm and pitch) of hooks over one chord."""
    return count_distinct(choose_hooks(heards))


def count_distinct(hooks: Sequence[Hook]) -> Match:
    """Count different first bars of *hooks*."""
    return Match(len({hook.bar(0) for hook in hooks}), len(hooks), 1)


def loud_as_drums(heards: Sequence[Heard]) -> Match:
    """Correlate how loud a hook's notes are with how loud the drums are at the same places, all takes together."""
    return correlate_loudness(choose_hooks(heards))


def correlate_loudness(hooks: Sequence[Hook]) -> Match:
    """Correlate the loudness of all notes of *hooks* with the drums'."""
    played = [pair for hook in hooks for pair in hook.played]
    drums, notes = zip(*played, strict=True)
    return Match(round(correlation(drums, notes), 2) if len(set(notes)) > 1 else 0.0, 1, 0)


def find_own_drums(heards: Sequence[Heard]) -> Match:
    """Count the hooks that are nearer to their own drums than to those of any other take."""
    return count_own(choose_hooks(heards))


def count_own(hooks: Sequence[Hook]) -> Match:
    """Count those of *hooks* that are nearest to their own drums."""
    found = 0
    for index, hook in enumerate(hooks):
        far = [distance(hook, other) for other in hooks]
        found += all(far[index] < other for number, other in enumerate(far) if number != index)
    return Match(found, len(hooks), 1, f"by rhythm and contour of {len(hooks)} hooks over one chord")


def distance(hook: Hook, other: Hook) -> float:
    """Return how far *hook* is from the drums of *other*, 0 to 2: one less the cosine of its notes' loudness with the
    drums', and as much again for its contour, which is pitch against the drums' heights about their means.
    """
    last = hook.bars * hook.bar_ticks / STEP_TICKS
    loud = {step: value for step, value in other.loud.items() if step < last}
    notes = {round(at / STEP_TICKS): (float(pitch), float(velocity)) for at, pitch, velocity in hook.notes}
    rhythm = _cosine({step: velocity for step, (_, velocity) in notes.items()}, loud)
    both = [step for step in notes if step in loud]
    if not both:
        return 2.0
    pitch, height = fmean(notes[step][0] for step in notes), fmean(other.heights[step] for step in both)
    contour = _cosine(
        {step: notes[step][0] - pitch for step in notes},
        {step: other.heights[step] - height for step in both},
    )
    return 1 - rhythm + (1 - contour) / 2


def _cosine(one: Places, other: Places) -> float:
    size = sqrt(sum(value * value for value in one.values()) * sum(value * value for value in other.values()))
    return sum(value * other.get(step, 0.0) for step, value in one.items()) / size if size else 0.0
