"""Picks: choices among candidates, kept in a YAML file so that the next run plays the same figures.

    picks:
      - bar: 8
        choose: 2

A pick may name its figure by its notes instead (``notes: F5 G5 F5 E5``), and is then kept however candidates rank.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from handgroove.errors import HandgrooveError, Problem

if TYPE_CHECKING:
    from handgroove.figures.candidate import Candidate


@dataclass(frozen=True, slots=True)
class Pick:
    """The choice for the figure that begins in *bar*: candidate number *choose* (from 1), or exactly *pitches*."""

    bar: int
    choose: int = 1
    pitches: tuple[int, ...] = ()


Picks = Mapping[int, Pick]


def read_picks(path: str | Path) -> dict[int, Pick]:
    """Read a picks file; raise HandgrooveError that points at what is wrong."""
    from handgroove.figures.picks_model import PicksFile
    from handgroove.yamlfile import read_yaml

    read = read_yaml(path, PicksFile)
    return {
        item.bar: Pick(item.bar, item.choose, tuple(parse_pitch(name) for name in item.notes.split()))
        for item in read.picks
    }


def write_picks(path: str | Path, picks: Picks) -> Path:
    """Write *picks* to *path*, whole or not at all."""
    from handgroove.figures.reasons import pitch_name
    from handgroove.output.files import write_whole

    lines = ["picks:"]
    for bar, pick in sorted(picks.items()):
        lines += [f"  - bar: {bar}", f"    choose: {pick.choose}"]
        if pick.pitches:
            lines.append(f"    notes: {' '.join(pitch_name(pitch) for pitch in pick.pitches)}")
    text = "\n".join(lines) if picks else "picks: []"
    return write_whole(Path(path), text + "\n")


def choose(bar: int, candidates: list[Candidate], picks: Picks) -> tuple[int, str]:
    """Return the index of the candidate that *picks* say for *bar* (0 where they say nothing), and a message."""
    pick = picks.get(bar)
    if pick is None or not candidates:
        return 0, ""
    if pick.pitches:
        for index, candidate in enumerate(candidates):
            if candidate.pitches == pick.pitches:
                return index, ""
        return 0, f"bar {bar}: the picked figure no longer fits this fill; the best one is played"
    if pick.choose > len(candidates):
        return 0, f"bar {bar}: candidate {pick.choose} was picked, but there are {len(candidates)}"
    return pick.choose - 1, ""


def parse_pitch(name: str) -> int:
    """Return the MIDI note number of a name such as F#4 or Bb3 (C4 = 60)."""
    from handgroove.harmony.names import match_name

    matched = match_name(name)
    if matched is not None:
        found, end = matched
        octave = name[end:]
        if octave.lstrip("-").isdigit():
            return found.pc + 12 * (int(octave) + 1) + _wrap(found.letter, found.alter)
    raise HandgrooveError(Problem("", f"expected a note such as F#4, got {name!r}"))


def _wrap(letter: str, alter: int) -> int:
    """Return the octave that a spelling crosses: Cb4 is B3, B#3 is C4."""
    from handgroove.harmony.chord import LETTERS

    return 12 * ((LETTERS[letter] + alter) // 12)
