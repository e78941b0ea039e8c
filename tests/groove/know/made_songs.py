"""Made songs: grooves of several kinds with fills set in at phrase ends, and songs that hold no fill at all.

Rows are sixteenths of a 4/4 bar: `X` loud, `x` normal, `g` soft. What is a fill and where it begins is known, since it
was put there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from handgroove.groove.hits import Groove
from handgroove.groove.kit import Piece
from tests.groove.know.test_knowledge import play
from tests.laws.made import Drummer, humanise

Rows = dict[Piece, str]
STEADY = Drummer()
BEAT = 4  # sixteenths
REST = "." * 16

GROOVES: dict[str, tuple[Rows, ...]] = {
    "eighths": (
        {Piece.CLOSED_HAT: "X.x.X.x.X.x.X.x.", Piece.SNARE: "....X.......X...", Piece.KICK: "X.....x.x......."},
    ),
    "sixteenths": (
        {Piece.CLOSED_HAT: "XxxxXxxxXxxxXxxx", Piece.SNARE: "....X.......X...", Piece.KICK: "X..x......x..x.."},
    ),
    "disco": (
        {Piece.CLOSED_HAT: "X.X.X.X.X.X.X.X.", Piece.OPEN_HAT: "..x...x...x...x.", Piece.KICK: "X...X...X...X...",
         Piece.SNARE: "....X.......X..."},
    ),
    "ride": (
        {Piece.RIDE: "X.x.X.x.X.x.X.x.", Piece.SNARE: "....X..g.g..X..g", Piece.KICK: "X..x..x..x.....x",
         Piece.PEDAL_HAT: "....x.......x..."},
    ),
    "half-time": (
        {Piece.CLOSED_HAT: "X.x.X.x.X.x.X.x.", Piece.SNARE: "........X.......", Piece.KICK: "X.....x......x.."},
    ),
    "funk": (
        {Piece.CLOSED_HAT: "X.x.X.xxX.x.X.x.", Piece.SNARE: "....X..g.g..X..g", Piece.KICK: "X.x.......x..x.."},
    ),
    "two bars": (
        {Piece.CLOSED_HAT: "X.x.X.x.X.x.X.x.", Piece.SNARE: "....X.......X...", Piece.KICK: "X.....x.x......."},
        {Piece.CLOSED_HAT: "X.x.X.x.X.x.X.x.", Piece.SNARE: "....X.....x.X...", Piece.KICK: "..x...x.x..x..x."},
    ),
}  # fmt: skip
SNARE, HIGH, MIDDLE, FLOOR, KICK = (
    Piece.SNARE, Piece.HIGH_TOM, Piece.MIDDLE_TOM, Piece.FLOOR_TOM, Piece.KICK
)  # fmt: skip
FILLS: dict[int, tuple[Rows, ...]] = {  # by length in beats; what stands before the fill is the groove's own
    4: (
        {SNARE: "XxxxXxxxXxxxXxxx"},
        {SNARE: "Xxxx............", HIGH: "....Xxxx........", MIDDLE: "........Xxxx....", FLOOR: "............Xxxx"},
        {SNARE: "X..xX...X.......", HIGH: "......x...xx....", FLOOR: "............XxX.", KICK: "..x..x......x..."},
        {HIGH: "X.x.X...........", MIDDLE: "......x.X.......", FLOOR: "..........x.X.x.", KICK: "X...X...X...X..."},
    ),
    2: (
        {SNARE: "........Xx......", HIGH: "..........Xx....", MIDDLE: "............Xx..", FLOOR: "..............Xx"},
        {SNARE: "........XxxxXxxx"},
        {SNARE: "........X..X..X.", FLOOR: ".........x..x..x"},
    ),
    1: (
        {HIGH: "............Xx..", MIDDLE: "..............x.", FLOOR: "...............x"},
        {SNARE: "............XxXx"},
        {SNARE: "............X...", HIGH: ".............x..", FLOOR: "..............X."},
    ),
}  # fmt: skip
TOM_GROOVE: Rows = {
    FLOOR: "X.x.X.xxX.x.X.x.", HIGH: "....x.......x...", SNARE: "....X.......X...", KICK: "X.......X.x....."
}  # fmt: skip


@dataclass(frozen=True)
class MadeSong:
    """A song made to be known: its *name*, its *groove*, and the bars (by number) with the beat each fill begins on."""

    name: str
    groove: Groove
    begins: dict[int, int]


def leave(groove: Rows, fill: Rows, beats: int) -> Rows:
    """Return a bar of *groove* whose last *beats* beats are *fill*."""
    kept = 16 - BEAT * beats
    pieces = [*groove, *(piece for piece in fill if piece not in groove)]
    return {piece: groove.get(piece, REST)[:kept] + fill.get(piece, REST)[kept:] for piece in pieces}


def make_song(
    groove: str, bars: int, fills: Sequence[Rows], beats: int, *, every: int = 4, crash: bool = True,
    tempo_bpm: float = 112, drummer: Drummer = STEADY, lands: bool = True,
) -> MadeSong:  # fmt: skip
    """Return *bars* bars of *groove* with the next of *fills* (in turn) at the end of *every* so many bars.

    With *lands* a last stroke follows the last bar, and with *crash* a crash follows each fill.
    """
    usual = GROOVES[groove]
    rows: list[Rows] = []
    begins: dict[int, int] = {}
    for number in range(1, bars + 1):
        bar = usual[(number - 1) % len(usual)]
        if number - 1 in begins and crash:
            bar = bar | {Piece.CRASH: "X" + REST[1:]}
        if number % every == 0:
            bar = leave(bar, fills[len(begins) % len(fills)], beats)
            begins[number] = 4 - beats
        rows.append(bar)
    if lands:
        rows.append({Piece.KICK: "X" + REST[1:], Piece.CRASH: "X" + REST[1:]})
    take = humanise(play(*rows, tempo_bpm=tempo_bpm), drummer)
    name = f"{groove}, {bars} bars, {len(fills)} fill{'s' * (len(fills) > 1)} of {beats} beats, {tempo_bpm:g}"
    return MadeSong(name, take, begins)


def make_family() -> Iterator[MadeSong]:
    """Yield songs of 8, 16 and 32 bars with the same and with different fills of a bar, half a bar and a beat."""
    seed = 0
    for groove, bars, beats in product(GROOVES, (8, 16, 32), FILLS):
        for fills in (*((fill,) for fill in FILLS[beats]), FILLS[beats]):
            seed += 1
            drummer = Drummer(
                scatter_ms=(4, 8, 12)[seed % 3], lean_ms=(-25, 0, 15, 40)[seed % 4], uneven=6, seed=seed
            )
            yield make_song(
                groove, bars, fills, beats, crash=seed % 5 > 0, tempo_bpm=(84, 104, 126, 148)[seed % 4 - seed % 3],
                drummer=drummer, lands=seed % 2 > 0,
            )  # fmt: skip


def make_plain() -> Iterator[MadeSong]:
    """Yield songs that hold no fill, however much some of their bars or beats come back as fills do."""
    eighths = GROOVES["eighths"][0]
    pickup = eighths | {SNARE: "....X.......X.xx"}
    pickup_alone = pickup | {Piece.CLOSED_HAT: "X.x.X.x.X.x.X..."}
    open_hat = eighths | {Piece.CLOSED_HAT: "X.x.X.x.X.x.X...", Piece.OPEN_HAT: "..............X."}
    other = {Piece.CLOSED_HAT: "X.x.X.x.X.x.X.x.", SNARE: "........X.....x.", KICK: "X..x..x.....x.x."}
    ride = {Piece.RIDE: "X.x.X.x.X.x.X.x.", SNARE: "....X.......X...", KICK: "X.....x.x......."}
    crashed = eighths | {Piece.CRASH: "X" + REST[1:]}
    busier = eighths | {KICK: "X.x...x.x.x...x."}
    tom_answer = {HIGH: "x...x...x.x.....", FLOOR: "..X...X.....X.X.", KICK: "X.......X......."}
    songs: dict[str, Sequence[Rows]] = {
        "toms throughout": [TOM_GROOVE] * 8,
        "toms for eight bars": [eighths] * 8 + [TOM_GROOVE] * 8 + [eighths] * 8,
        "a snare pickup every bar": [pickup] * 16,
        "a snare pickup without hats every bar": [pickup_alone] * 16,
        "an open hat every fourth bar": [eighths, eighths, eighths, open_hat] * 4,
        "two bars": [*GROOVES["two bars"]] * 8,
        "two bars, toms in the second": [eighths, tom_answer] * 8,
        "a fourth bar with hats": [eighths, eighths, eighths, other] * 4,
        "a fourth bar on the ride": [eighths, eighths, eighths, ride] * 4,
        "a busier fourth bar": [eighths, eighths, eighths, busier] * 4,
        "a crash every fourth bar": [crashed, eighths, eighths, eighths] * 4,
        "hats, then ride": [eighths] * 8 + [ride] * 8,
    }
    for seed, (name, rows) in enumerate(songs.items()):
        for tempo_bpm, scatter in ((92, 5), (118, 9), (144, 12)):
            drummer = Drummer(scatter_ms=scatter, lean_ms=(-20, 0, 30)[seed % 3], seed=seed)
            yield MadeSong(f"{name}, {tempo_bpm}", humanise(play(*rows, tempo_bpm=tempo_bpm), drummer), {})
    for groove, rows in GROOVES.items():
        for bars in (8, 16):
            take = play(*rows * (bars // len(rows)), tempo_bpm=110)
            yield MadeSong(f"{groove} alone", humanise(take, Drummer(seed=bars)), {})
