"""Measuring hands on real drumming: how much of what drummers play survives two hands, and whether it's playable.

A hit survives if a note stands for it. Shares are of all hits of a kind, so they count what translators leave out and
what makes room for a fill's figure, beside what hands can't play.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from handgroove.groove.hits import Groove, Stroke
from handgroove.groove.kit import Family
from handgroove.groove.know.levels import find_levels
from handgroove.hands.guard import Guard
from handgroove.hands.playability import Severity, check_notes
from handgroove.hands.player import Player
from handgroove.hands.settle import settle
from handgroove.job import translate
from handgroove.part import Part
from handgroove.strike import Asked, Hand, Role, Strike
from handgroove.timeline import Metre, Timeline

KINDS = ("kick", "snare", "ghost", "accented hat", "other hat", "the rest")


@dataclass(slots=True)
class Tally:
    """What became of many grooves' hits under one player: counts by kind, and what the checker still found."""

    player: str
    notes: int = 0
    hits: Counter[str] = field(default_factory=Counter)
    kept: Counter[str] = field(default_factory=Counter)
    cant: int = 0
    strains: int = 0
    bad_files: list[str] = field(default_factory=list)

    def share(self, kind: str) -> float:
        """Return which share of the hits of *kind* is kept."""
        return self.kept[kind] / self.hits[kind] if self.hits[kind] else 1.0

    def as_dict(self) -> dict[str, object]:
        """Return the tally as plain values."""
        shares = {kind: round(self.share(kind), 4) for kind in KINDS}
        return {
            "player": self.player,
            "notes": self.notes,
            "cant": self.cant,
            "strains": self.strains,
            "kept": shares,
        }


def kinds_of(groove: Groove) -> list[str]:
    """Return what kind each of *groove*'s hits is, as KINDS has them."""
    levels = find_levels(groove)
    kinds = []
    for hit in groove.hits:
        family, stroke = hit.piece.family, levels.stroke(hit)
        if family is Family.KICK:
            kinds.append("kick")
        elif family is Family.SNARE:
            kinds.append("ghost" if stroke is Stroke.GHOST else "snare")
        elif family in (Family.HAT, Family.RIDE):
            kinds.append("accented hat" if stroke is Stroke.ACCENT else "other hat")
        else:
            kinds.append("the rest")
    return kinds


def add_part(tally: Tally, part: Part, player: Player) -> None:
    """Count into *tally* what *part* keeps of its groove, and what *player* can't play of it."""
    kept = {hit for note in part.notes for hit in note.hits}
    for index, kind in enumerate(kinds_of(part.groove)):
        tally.hits[kind] += 1
        tally.kept[kind] += index in kept
    troubles = check_notes(part.notes, player, part.timeline)
    cant = sum(trouble.severity is Severity.CANT for trouble in troubles)
    tally.notes += len(part.notes)
    tally.cant += cant
    tally.strains += len(troubles) - cant
    if cant:
        tally.bad_files.append(part.groove.source)


def measure_hands(grooves: Iterable[Groove], players: Iterable[Player]) -> list[Tally]:
    """Return a tally for each player over all *grooves*, each translated with the plain pattern."""
    players = list(players)
    tallies = [Tally(player.name) for player in players]
    for groove in grooves:
        for tally, player in zip(tallies, players, strict=True):
            add_part(tally, translate(groove, player=player), player)
    return tallies


def make_groove_strikes(bars: int) -> list[Asked]:
    """Return *bars* of plain comping and octaves, twenty notes a bar, with a few milliseconds' looseness."""
    chords = ((33, (60, 64, 67)), (29, (60, 64, 69)), (36, (59, 64, 67)), (31, (59, 62, 65)))
    asked = []
    for bar in range(bars):
        low, high = chords[bar % len(chords)]
        for eighth in range(8):
            tick = bar * 3840 + eighth * 480 + (bar * 7 + eighth * 5) % 13
            if eighth in (0, 3, 4, 7):
                kick = Strike((low,), 90, Hand.LEFT, Role.KICK, 1920, until_next=True, fingers=(5,))
                asked.append(Asked(tick, kick))
            elif eighth in (2, 6):
                asked.append(Asked(tick, Strike((low + 12,), 100, Hand.LEFT, Role.SNARE, 400, fingers=(1,))))
            pitches = high if eighth % 4 == 0 else high[1:] if eighth % 2 == 0 else high[:1]
            asked.append(Asked(tick + 3, Strike(pitches, 70, Hand.RIGHT, Role.COMPING, 460)))
    return asked


def measure_settling(bars: int, clock: Callable[[], float]) -> tuple[int, float]:
    """Return how many notes *bars* bars have and how many seconds of *clock* it takes to settle and finger them."""
    asked, timeline = make_groove_strikes(bars), Timeline.of(Metre(4, 4), 112, bars)
    start = clock()
    settled = settle(asked, Player(), timeline)
    return len(settled.notes), clock() - start


def measure_guard(bars: int, clock: Callable[[], float]) -> list[float]:
    """Return how many seconds of *clock* the causal guard took for each strike of *bars* bars, shortest first."""
    guard, took = Guard(Player()), []
    for item in make_groove_strikes(bars):
        start = clock()
        guard.admit(
            item.strike, item.tick / 1792, item.strike.hold_ticks / 1792
        )  # 1,792 ticks a second: 112 a minute
        took.append(clock() - start)
    return sorted(took)
