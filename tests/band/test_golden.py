"""The program's condensing beside one made by hand: eight bars of the demo song."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

import pytest

from handgroove.band.read.read_band import read_band
from handgroove.band.write.condensing import Condensed, condense_band
from handgroove.strike import Hand

HERE = Path(__file__).parent
DEMO = HERE.parents[1] / "demo" / "lantern-street-band.mid"

Stroke = tuple[int, int, int]  # bar, sixteenth from 0, pitch

_LETTERS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_PARTS = {"": 0, "e": 1, "&": 2, "a": 3}


def read_golden(hand: str) -> tuple[list[Stroke], dict[int, int]]:
    """Return the strokes of one *hand* of the hand-made verse (ghosts left out), and where a bar's fill begins."""
    strokes: list[Stroke] = []
    fills: dict[int, int] = {}
    bar = 0
    for line in (HERE / "golden" / "lantern-street-verse.txt").read_text(encoding="utf-8").splitlines():
        head = re.match(r"bar (\d+)", line)
        if head:
            bar = int(head[1])
        if not line.startswith(f"  {hand}"):
            continue
        for beat, part, notes, ghost in re.findall(r"(\d)([e&a]?) ([A-G][\w#+]*)( g\b)?", line):
            step = 4 * (int(beat) - 1) + _PARTS[part]
            if not ghost:
                strokes += [(bar, step, _pitch(name)) for name in notes.split("+")]
        if line.endswith("fill"):
            fills[bar] = 8
    return strokes, fills


def _pitch(name: str) -> int:
    letter, sharp, octave = re.fullmatch(r"([A-G])(#?)(\d)", name).groups()  # type: ignore[union-attr]
    return 12 * (int(octave) + 1) + _LETTERS[letter] + bool(sharp)


def played(found: Condensed, hand: Hand) -> list[Stroke]:
    """Return what the program has one *hand* play in the same bars, softest ghosts and the fill left out."""
    timeline = found.part.timeline
    strokes = []
    for note in found.part.hand(hand):
        bar = timeline.bar_at(note.tick + 60)
        step = round((note.tick - bar.start_tick) / 240)
        if 5 <= bar.number <= 12 and note.velocity > 35:
            strokes.append((bar.number, step, note.pitch))
    return strokes


def agreement(ours: Iterable[object], theirs: Iterable[object]) -> float:
    """Return the F measure of two sets: twice what they share by what they have together."""
    a, b = set(ours), set(theirs)
    return 2 * len(a & b) / (len(a) + len(b))


@pytest.fixture(scope="module")
def demo() -> Condensed:
    """Return the demo song's condensing."""
    return condense_band(read_band(DEMO))


def test_the_left_hand_is_the_one_made_by_hand(demo: Condensed) -> None:
    """Kick, snare and bass runs fall on the same keys: nine in ten strokes and more are the same."""
    by_hand, _ = read_golden("left")
    assert len(by_hand) > 50
    assert agreement(played(demo, Hand.LEFT), by_hand) >= 0.9


def test_the_right_hand_strikes_when_the_hand_made_one_does(demo: Condensed) -> None:
    """Outside the fill nine in ten of the right hand's onsets are the same, with the same note on top."""
    by_hand, fills = read_golden("right")
    ours = [s for s in played(demo, Hand.RIGHT) if s[1] < fills.get(s[0], 16)]
    assert agreement({s[:2] for s in ours}, {s[:2] for s in by_hand}) >= 0.9
    tops = {where: max(p for b, s, p in by_hand if (b, s) == where) for where in {s[:2] for s in by_hand}}
    our_tops = {where: max(p for b, s, p in ours if (b, s) == where) for where in {s[:2] for s in ours}}
    assert agreement(tops.items(), our_tops.items()) >= 0.85


def test_the_chords_under_the_tune_are_mostly_the_hand_made_ones(demo: Condensed) -> None:
    """Three in four of the right hand's notes are the same pitch at the same time."""
    by_hand, fills = read_golden("right")
    ours = [s for s in played(demo, Hand.RIGHT) if s[1] < fills.get(s[0], 16)]
    assert agreement(ours, by_hand) >= 0.75


def test_the_fill_is_a_figure_in_the_right_hand(demo: Condensed) -> None:
    """Where the hand-made version leaves the fill to taste, the program has a figure as dense as the drums."""
    _, fills = read_golden("right")
    (bar, step), *_ = fills.items()
    figure = [s for s in played(demo, Hand.RIGHT) if s[0] == bar and s[1] >= step]
    assert len(figure) >= 6
