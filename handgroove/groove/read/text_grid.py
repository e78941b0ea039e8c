"""Grooves as text, written: the rows that a pattern file's ``groove:`` holds (see handgroove.groove.read.rows)."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import groupby

from handgroove.groove.hits import Feel, Groove, Hit, Stroke
from handgroove.groove.kit import Family, Piece
from handgroove.groove.read.rows import HAT, OPENED, REST, STRUCK
from handgroove.groove.read.steps import Grid
from handgroove.timeline import Bar, Metre

_CLOSED = {stroke: char for char, (stroke, _) in STRUCK.items()}
_OPEN = {stroke: char for char, (stroke, _) in OPENED.items()} | {Stroke.GHOST: "o"}
# Top to bottom as a drum part is written: cymbals, hat, hand percussion, toms, clicks and claps, snare, feet.
_TOP_DOWN = (
    *(Piece.CRASH, Piece.SPLASH, Piece.CHINA, Piece.RIDE_BELL, Piece.RIDE, Piece.OPEN_HAT, Piece.CLOSED_HAT),
    *(piece for piece in Piece if piece.family is Family.HAND),
    *(
        Piece.HIGHEST_TOM,
        Piece.HIGH_TOM,
        Piece.MIDDLE_TOM,
        Piece.LOW_TOM,
        Piece.FLOOR_TOM,
        Piece.LOW_FLOOR_TOM,
    ),
    *(Piece.CLAP, Piece.SIDE_STICK, Piece.SNARE, Piece.KICK, Piece.PEDAL_HAT),
)
_ORDER = {piece: place for place, piece in enumerate(_TOP_DOWN)}

_STEP_COST = 0.005  # a finer grid is worth it when each step more a beat catches one hit in two hundred
# A step is meant when a hit is this near: most drummers' spread is under 0.02; margin ours.
_LOOSE_SEC = 0.035
_WIDTH = 96


def stroke_by_velocity(hit: Hit) -> Stroke:
    """Return how *hit* was struck by its velocity alone: the limits lie halfway between the written strokes'."""
    (_, ghost), (_, normal), (_, accent) = STRUCK.values()
    if 2 * hit.velocity <= ghost + normal:
        return Stroke.GHOST
    return Stroke.ACCENT if 2 * hit.velocity >= normal + accent else Stroke.NORMAL


def format_feel(feel: Feel) -> str:
    """Format *feel* as a pattern file's ``feel:``."""
    if feel.swing_ratio == 1:
        return "straight"
    unit = "sixteenths" if feel.swing_unit_ticks == 240 else "eighths"
    return f"{{swing: {feel.swing_ratio:.4g}, of: {unit}}}"


def choose_steps(groove: Groove, metre: Metre | None = None) -> int:
    """Return how many steps per beat of *metre* suit *groove*: few, yet nearly every hit falls on one of its own."""
    metre = metre or groove.timeline.metre_at(groove.timeline.first_tick)
    choices = (3, 6, 12) if metre.is_compound else (1, 2, 3, 4, 6, 8, 12)
    grids = [grid for steps in choices if not (grid := Grid(metre, steps, groove.feel)).faults]
    costs = [
        (_misfitting(groove, grid) + _STEP_COST * grid.steps_per_beat, grid.steps_per_beat) for grid in grids
    ]
    return min(costs)[1] if costs else choices[-1]


@dataclass(frozen=True, slots=True)
class _Cell:
    """Where a hit is written: the bar, the step in it, and how far from the step it was played."""

    bar: int
    step: int
    off_ticks: float


def _place(groove: Groove, hit: Hit, grid: Grid) -> _Cell:
    """Return the cell of *hit* on *grid*; one a hair before a bar line is written in the bar it leads into."""
    bar = groove.timeline.bar_at(hit.tick)
    tick = hit.tick - _start(bar)
    step = grid.nearest_step(tick)
    off = tick - grid.tick(step)
    if _start(bar) + step * grid.step_ticks >= bar.end_tick:
        return _Cell(bar.number + 1, 0, off)
    return _Cell(bar.number, step, off)


def _start(bar: Bar) -> int:
    """Return where *bar* would start if it were whole: a pickup is the end of one."""
    return bar.end_tick - bar.metre.bar_ticks if bar.number == 0 else bar.start_tick


def _misfitting(groove: Groove, grid: Grid) -> float:
    """Return the share of hits that don't lie near a step of *grid*, or near one that their piece has taken already."""
    taken: set[tuple[int, int, Piece]] = set()
    misfitting = in_metre = 0
    for hit in groove.hits:
        if groove.timeline.metre_at(hit.tick) != grid.metre:
            continue
        in_metre += 1
        cell = _place(groove, hit, grid)
        loose_ticks = _LOOSE_SEC * groove.timeline.tempo_at(hit.tick) * 16
        key = (cell.bar, cell.step, hit.piece)
        if key in taken or abs(cell.off_ticks) > min(loose_ticks, grid.step_ticks / 4):
            misfitting += 1
        taken.add(key)
    return misfitting / in_metre if in_metre else 0.0


_Bars = dict[int, dict[tuple[int, Piece], Hit]]


def format_grid(
    groove: Groove, *, steps_per_beat: int | None = None, stroke: Callable[[Hit], Stroke] = stroke_by_velocity
) -> str:
    """Format *groove* as the rows of a pattern file's ``groove:``, in blocks of bars that fit a screen.

    *stroke* says how a hit was struck (``find_levels(groove).stroke`` for a drummer's own loudness). Where two hits
    of a piece share a step, the louder is written. A change of metre or of steps begins a block whose head says so.
    """
    blocks = format_blocks(groove, steps_per_beat=steps_per_beat, stroke=stroke)
    if len(blocks) == 1:
        return "".join(f"{row}\n" for row in blocks[0][1])
    return "".join(f"- # {head}\n" + "".join(f"  {row}\n" for row in rows) for head, rows in blocks)


def format_blocks(
    groove: Groove, *, steps_per_beat: int | None = None, stroke: Callable[[Hit], Stroke] = stroke_by_velocity
) -> list[tuple[str, list[str]]]:
    """Format *groove* as ``format_grid`` does; return each block's head (which bars) and its rows."""
    grids: dict[Metre, Grid] = {}
    for change in groove.timeline.metres:
        steps = steps_per_beat or choose_steps(groove, change.metre)
        grids[change.metre] = Grid(change.metre, steps, groove.feel)
    written: _Bars = {}
    for hit in groove.hits:
        cell = _place(groove, hit, grids[groove.timeline.metre_at(hit.tick)])
        bar = written.setdefault(cell.bar, {})
        here = (cell.step, hit.piece)
        if here not in bar or bar[here].velocity < hit.velocity:
            bar[here] = hit
    several = len(grids) > 1
    return [
        (
            _head(bars, grids[bars[0].metre], several),
            _format_block(bars, written, grids[bars[0].metre], stroke),
        )
        for bars in _find_blocks(_bars(groove, written), grids)
    ]


def format_count(grid: Grid, bars: int) -> str:
    """Format the numbers of the felt beats, to stand above the rows of *bars* bars."""
    beats = range(1, grid.steps_per_bar // grid.steps_per_beat + 1)
    if grid.steps_per_beat == 1:
        bar = "".join(str(beat % 10) for beat in beats)
    else:
        bar = " ".join(f"{beat:<{grid.steps_per_beat}}" for beat in beats)
    return "   ".join([bar] * bars).rstrip()


def _bars(groove: Groove, written: _Bars) -> list[Bar]:
    """Return the bars to write: the timeline's, and any beyond its end that a hit is written in."""
    bars = list(groove.timeline.bars())
    last = max(written, default=1)
    while not bars or bars[-1].number < last:
        bars.append(groove.timeline.bar_at(bars[-1].end_tick if bars else 0))
    return bars


def _find_blocks(bars: list[Bar], grids: dict[Metre, Grid]) -> Iterable[list[Bar]]:
    """Yield runs of bars of one metre, as many together as a screen is wide enough for."""
    for metre, run in groupby(bars, key=lambda bar: bar.metre):
        alike = list(run)
        width = grids[metre].steps_per_bar + metre.bar_ticks // metre.beat_ticks + 2
        most = max(n for n in (1, 2, 4, 8) if n == 1 or n * width <= _WIDTH)
        yield from (alike[i : i + most] for i in range(0, len(alike), most))


def _head(bars: list[Bar], grid: Grid, several: bool) -> str:
    first, last = bars[0].number, bars[-1].number
    name = f"bar {first}" if first == last else f"bars {first} to {last}"
    return f"{name}: {grid.metre}, {grid.steps_per_beat} steps per beat" if several else name


def _format_block(bars: list[Bar], written: _Bars, grid: Grid, stroke: Callable[[Hit], Stroke]) -> list[str]:
    """Return the rows of *bars*, names lined up; an empty stretch is a silent kick."""
    pieces = {piece for bar in bars for _, piece in written.get(bar.number, {})} or {Piece.KICK}
    rows: dict[str, list[str]] = {}
    for piece in sorted(pieces, key=_ORDER.__getitem__):
        both = {Piece.CLOSED_HAT, Piece.OPEN_HAT}
        name = HAT if piece in both and not _collide(bars, written) else piece.value
        cells = rows.setdefault(name, [REST] * (grid.steps_per_bar * len(bars)))
        for index, bar in enumerate(bars):
            for (step, struck), hit in written.get(bar.number, {}).items():
                if struck is piece:
                    chars = _OPEN if name == HAT and piece is Piece.OPEN_HAT else _CLOSED
                    cells[index * grid.steps_per_bar + step] = chars[stroke(hit)]
    width = max(len(name) for name in rows) + 1
    return [f"{name + ':':<{width}} {_space(cells, grid)}" for name, cells in rows.items()]


def _collide(bars: list[Bar], written: _Bars) -> bool:
    """Return whether the closed and the open hat are ever struck on one step, which one row can't hold."""
    cells = [written.get(bar.number, {}) for bar in bars]
    return any(
        (step, Piece.OPEN_HAT) in bar for bar in cells for step, piece in bar if piece is Piece.CLOSED_HAT
    )


def _space(cells: list[str], grid: Grid) -> str:
    """Return the characters with a space between beats (where a beat has several steps) and a sign between bars."""
    steps = grid.steps_per_beat if grid.steps_per_beat > 1 else grid.steps_per_bar
    bars = [cells[i : i + grid.steps_per_bar] for i in range(0, len(cells), grid.steps_per_bar)]
    return " | ".join(
        " ".join("".join(bar[i : i + steps]) for i in range(0, len(bar), steps)) for bar in bars
    )
