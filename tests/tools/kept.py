"""How much of what drummers play two hands keep: ``python -m tests.tools.kept FOLDER [--every 9] [--player ninth]``.

Each share is given twice. By raw stroke: a stroke is kept if a note stands for it whose tick lies within 12 ms of the
stroke's own. By gesture: a flam, drag, ruff, roll or rebound counts once, and is kept if a note stands for its main
stroke within 30 ms, so close that they're heard as one (two drums struck together are one chord). Merging close strokes
makes the second share no better than the first shows. What is lost is told with its reasons, most frequent first.
"""

from __future__ import annotations

import argparse
import re
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from handgroove import read_groove, read_player, translate
from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Family
from handgroove.groove.meant.gestures import find_gestures
from handgroove.hands.playability import Severity, check_notes
from handgroove.hands.player import Player
from handgroove.part import Part

NEAR_SEC = 0.012  # a note this near its stroke is that stroke, heard: the least gap of a flam
TOGETHER_SEC = 0.03  # closer onsets are heard as one (order is told apart from about 20 ms on; margin ours)
GHOST_BELOW = 50  # of 127: softer snares count as ghosts here
_NUMBER = re.compile(
    r"\d[\d.]*|\b(one|two|three|four|five|six|seven|eight|nine|ten|[a-z]*teen|twenty|eleven|twelve)\b"
)
AIMS = {"snare": 0.985, "kick": 0.98, "ghost": 0.85}


@dataclass(slots=True)
class Kept:
    """Counts over many parts: strokes of each kind and how many are kept, raw and by gesture."""

    strokes: Counter[str] = field(default_factory=Counter)
    kept: Counter[str] = field(default_factory=Counter)
    gestures: Counter[str] = field(default_factory=Counter)
    gestures_kept: Counter[str] = field(default_factory=Counter)
    kinds: Counter[str] = field(default_factory=Counter)
    reasons: dict[str, Counter[str]] = field(default_factory=dict)
    untold: int = 0
    cant: Counter[str] = field(default_factory=Counter)

    def raw(self, kind: str) -> float:
        """Return the share of the strokes of *kind* that are kept."""
        return self.kept[kind] / max(1, self.strokes[kind])

    def by_gesture(self, kind: str) -> float:
        """Return the share of the gestures of *kind* that are kept."""
        return self.gestures_kept[kind] / max(1, self.gestures[kind])


def kind_of(hit: Hit) -> str:
    """Return which share *hit* counts in, or nothing."""
    if hit.piece.family is Family.KICK:
        return "kick"
    if hit.piece.family is Family.SNARE:
        return "ghost" if hit.velocity < GHOST_BELOW else "snare"
    return ""


def heard(part: Part, near_sec: float = NEAR_SEC) -> set[int]:
    """Return the hits (indices) that a note within *near_sec* of them stands for."""
    clock, hits = part.timeline.tick_to_sec, part.groove.hits
    return {
        index
        for note in part.notes
        for index in note.hits
        if abs(clock(note.tick) - clock(hits[index].tick)) <= near_sec
    }


def add_part(kept: Kept, part: Part, player: Player) -> None:
    """Count into *kept* what *part* keeps of its groove, and what *player* can't play of it."""
    hits = part.groove.hits
    there, sounding = heard(part), heard(part, TOGETHER_SEC)
    lines = {index: line.reason for line in part.omissions for index in line.hits}
    stood_for = {index for note in part.notes for index in note.hits}
    kept.untold += sum(index not in stood_for and index not in lines for index in range(len(hits)))
    graces: set[int] = set()
    for gesture in find_gestures(part.groove):
        kept.kinds[f"{hits[gesture.main].piece.family} {gesture.kind}"] += 1
        graces.update(gesture.graces)
    for index, hit in enumerate(hits):
        kind = kind_of(hit)
        if not kind:
            continue
        kept.strokes[kind] += 1
        kept.kept[kind] += index in there
        if index in graces:
            continue
        kept.gestures[kind] += 1
        kept.gestures_kept[kind] += index in sounding
        if index not in sounding:
            reason = lines.get(index, "merged" if index in stood_for else "untold")
            reason = _NUMBER.sub("N", reason)
            kept.reasons.setdefault(kind, Counter())[reason] += 1
    cants = [t for t in check_notes(part.notes, player, part.timeline) if t.severity is Severity.CANT]
    kept.cant.update(trouble.text for trouble in cants)


def measure(grooves: list[Groove], player: Player) -> Kept:
    """Return what *player* keeps of *grooves*, each translated as it comes."""
    kept = Kept()
    for groove in grooves:
        add_part(kept, translate(groove, player=player), player)
    return kept


def format_kept(kept: Kept) -> str:
    """Return the shares, the gestures found and the most frequent reasons, as lines."""
    lines = [f"{'':8}{'raw':>22}{'by gesture':>22}{'aim':>8}"]
    for kind, aim in AIMS.items():
        raw = f"{kept.raw(kind):.2%} of {kept.strokes[kind]}"
        by = f"{kept.by_gesture(kind):.2%} of {kept.gestures[kind]}"
        lines.append(f"{kind:8}{raw:>22}{by:>22}{aim:>8.1%}")
    lines += [f"{count:7} {kind}" for kind, count in sorted(kept.kinds.items())]
    for kind, reasons in kept.reasons.items():
        lines += [f"{count:7} {kind}: {reason}" for reason, count in reasons.most_common(8)]
    lines.append(
        f"{kept.untold} hits without a note or a line; can't be played: {dict(kept.cant) or 'nothing'}"
    )
    return "\n".join(lines)


def main() -> None:
    """Measure a folder of MIDI files and print what is kept."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--every", type=int, default=1, help="take each so-manieth file")
    parser.add_argument("--player", default="ninth")
    given = parser.parse_args()
    paths = sorted(given.folder.glob("*.mid"))[:: given.every]
    player = read_player(given.player)
    kept = Kept()
    for path in paths:
        groove = read_groove(path)
        add_part(kept, translate(groove, player=player), player)
    print(format_kept(kept))


if __name__ == "__main__":
    main()
