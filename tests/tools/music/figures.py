"""Whether figures sing, and whether what is said of them is true: asked of the finished part's notes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from handgroove.figures.agreement import kendall_tau
from handgroove.figures.figure_search import LONGEST_TURN
from handgroove.strike import Role
from tests.tools.music.heard import Count, Heard

ACCENTED = 0.8


@dataclass(frozen=True, slots=True)
class Sung:
    """A fill's figure as it sounds: its *bar*, its *line* of pitches in turn (tremolos among them), its main notes'
    *pitches* with the *heights* of the drums under them, its *accents* as (pitch, its chord's tones), its *landing*
    (None = open), whether it holds a *roll*, and the sentence that is *told* of it.
    """

    bar: int
    line: tuple[int, ...]
    pitches: tuple[int, ...]
    heights: tuple[int, ...]
    accents: tuple[tuple[int, frozenset[int]], ...]
    landing: int | None
    roll: bool
    told: str


def find_sung(heard: Heard) -> Iterator[Sung]:
    """Yield every fill's figure in the finished part."""
    part, desk = heard.part, heard.desk
    lean = desk.reading.lean_ticks
    sounding: dict[int, list[tuple[int, frozenset[int]]]] = {}
    for note in part.notes:
        if note.role is Role.MELODY and not note.grace:
            sounding.setdefault(note.tick, []).append((note.pitch, frozenset(note.hits)))
    for choice, told in zip(desk.figures.choices, part.figures, strict=True):
        frame = choice.candidate.frame
        if frame is None:
            continue
        ticks = sorted({max(0, item.tick + lean) for item in choice.candidate.asked})
        end = ticks[-1] if choice.candidate.landing is not None else None
        line = tuple(
            max(pitch for pitch, _ in sounding[tick]) for tick in ticks if tick in sounding and tick != end
        )
        pitches, heights, accents = [], [], []
        for onset, chord in zip(frame.onsets, frame.chords, strict=True):
            own = [p for p, hits in sounding.get(max(0, onset.tick + lean), ()) if hits & set(onset.hits)]
            if own:
                pitches.append(max(own))
                heights.append(onset.height)
                if onset.accent >= ACCENTED:
                    accents.append((max(own), frozenset(chord.tone_pcs)))
        landing = (
            max((pitch for pitch, _ in sounding.get(end, ())), default=None) if end is not None else None
        )
        roll = any(onset.rolled for onset in frame.onsets)
        yield Sung(
            choice.bar, line, tuple(pitches), tuple(heights), tuple(accents), landing, roll, told
        )  # fmt: skip


def longest_turn(pitches: Sequence[int]) -> int:
    """Return the most notes in a row that go to and fro between two pitches."""
    longest = run = min(2, len(pitches))
    for index in range(2, len(pitches)):
        run = run + 1 if pitches[index] == pitches[index - 2] != pitches[index - 1] else 2
        longest = max(longest, run)
    return longest


def find_untruths(sung: Sung) -> list[str]:
    """Return which of the claims in what is told of *sung* its notes contradict."""
    whole = sung.line if sung.landing is None else (*sung.line, sung.landing)
    sizes = [abs(b - a) for a, b in pairwise(whole)]
    steps, told = sum(1 <= size <= 2 for size in sizes), sung.told
    good = sum(pitch % 12 in tones for pitch, tones in sung.accents)
    false = []
    if "moves by step throughout" in told and steps < len(sizes):
        false.append("by step throughout")
    if (said := re.search(r"moves by step (\d+) of (\d+) times", told)) and said.groups() != (
        str(steps), str(len(sizes)),
    ):  # fmt: skip
        false.append("by step so often")
    if (said := re.search(r"moves by step (\d+)% of", told)) and abs(
        int(said[1]) - 100 * steps / len(sizes)
    ) > 1:
        false.append("by step so much")
    if "every accent is a chord tone" in told and good < len(sung.accents):
        false.append("accents on chord tones")
    if (said := re.search(r"(\d+) of (\d+) accents", told)) and said.groups() != (
        str(good),
        str(len(sung.accents)),
    ):
        false.append("so many accents on chord tones")
    if "widest leap" not in told and any(size >= 5 for size in sizes):
        false.append("no leap")
    if ((" falls to its " in told) and whole[0] <= whole[-1]) or (
        " climbs to its " in told and whole[0] >= whole[-1]
    ):
        false.append("falls or climbs")
    if (said := re.search(r"goes (down|up) as", told)) and (whole[0] > sung.pitches[-1]) != (
        said[1] == "down"
    ):
        false.append("the drums' way")
    if re.search(r"to [A-G][#b]?\d, the (root|third|fifth|seventh) of", told) and sung.landing is None:
        false.append("a landing")
    return false


def count_trills(heard: Heard) -> Count:
    """Count the figures without a roll that go to and fro between two pitches for longer than a turn said twice."""
    counted = [(longest_turn(sung.pitches), sung) for sung in find_sung(heard) if not sung.roll]
    worst = max(counted, key=lambda pair: pair[0], default=None)
    trills = [turn for turn, _ in counted if turn > LONGEST_TURN]
    words = f"bar {worst[1].bar}: {worst[0]} notes between two pitches" if worst and trills else ""
    return Count(len(trills), len(counted), words)


def count_accents(heard: Heard) -> Count:
    """Count the accents of figures that are chord tones."""
    accents = [accent for sung in find_sung(heard) for accent in sung.accents]
    return Count(sum(pitch % 12 in tones for pitch, tones in accents), len(accents))


def count_contours(heard: Heard) -> Count:
    """Count the figures on two drums and more whose pitches agree with the drums' heights (tau over a half)."""
    several = [sung for sung in find_sung(heard) if len(set(sung.heights)) > 1]
    return Count(sum(kendall_tau(sung.heights, sung.pitches) > 0.5 for sung in several), len(several))


def count_joins(heard: Heard) -> Count:
    """Count the landings that are reached by step from the last note."""
    landed = [sung for sung in find_sung(heard) if sung.landing is not None and sung.line]
    return Count(sum(1 <= abs((sung.landing or 0) - sung.line[-1]) <= 2 for sung in landed), len(landed))


def count_untruths(heard: Heard) -> Count:
    """Count the figures of which something is said that its notes contradict."""
    found = [(sung.bar, false) for sung in find_sung(heard) for false in [find_untruths(sung)]]
    untrue = [(bar, false) for bar, false in found if false]
    return Count(len(untrue), len(found), f"bar {untrue[0][0]}: {', '.join(untrue[0][1])}" if untrue else "")
