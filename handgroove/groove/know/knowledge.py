"""Knowing a groove: all that can be told from its hits, in one place."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

from handgroove.groove.hits import Groove, Stroke
from handgroove.groove.kit import Piece
from handgroove.groove.know.backbone import Backbone
from handgroove.groove.know.barlines import BarHits, part_bars
from handgroove.groove.know.beat import FoundBeat
from handgroove.groove.know.cells import BarCells, cut_cells
from handgroove.groove.know.feel import FoundFeel, find_feel
from handgroove.groove.know.fills import CLIP_MODEL, weigh_clip
from handgroove.groove.know.find_fills import FoundFill, find_fills, whole_clip
from handgroove.groove.know.importance import find_importance
from handgroove.groove.know.leaving import find_leaving
from handgroove.groove.know.levels import Levels, find_levels
from handgroove.groove.know.microtiming import PieceTiming, measure_timing
from handgroove.groove.know.retime import find_lost_beat, follow_drift, retime
from handgroove.groove.know.returning import set_fills_apart
from handgroove.groove.know.structure import (
    CountIn,
    Stretch,
    find_count_in,
    find_drum_only,
    find_other_songs,
    find_pickup_ticks,
    find_time_feels,
)
from handgroove.groove.meant.lean import Lean
from handgroove.groove.meant.reading import Reading, begin_at, read_meaning, take_lean_off
from handgroove.timeline import Metre

# A twelfth of a quarter: while meant places are not known, a hit so early is the next bar's first
EARLY_TICKS = 80
SHORT_CLIP_BARS = 4  # a clip up to this long may be nothing but a fill


class ClipKind(StrEnum):
    """What a clip is."""

    BEAT = "beat"
    FILL = "fill"


@dataclass(frozen=True, slots=True)
class Strokes:
    """How often a *piece* is struck, and how."""

    piece: Piece
    hits: int
    accents: int
    ghosts: int
    is_flat: bool


@dataclass(frozen=True)
class Knowledge:
    """What is known of a *groove*: retimed, where its own beat had to be found (then *beat* says how sure that is), the
    drummer's common lean taken off, with the feel that was found where it states none. *reading* is what its hits mean.

    *bars* and *cells* stand side by side, as do *backbone*'s letters; *fills* are in order. *kind* and *fill_chance*
    judge the whole as a clip. *doubts* are sentences about what is not sure.
    """

    groove: Groove
    reading: Reading
    levels: Levels
    feel: FoundFeel
    bars: tuple[BarHits, ...]
    cells: tuple[BarCells, ...]
    backbone: Backbone
    fills: tuple[FoundFill, ...]
    kind: ClipKind
    fill_chance: float
    count_in: CountIn | None = None
    pickup_ticks: int = 0
    drum_only: tuple[Stretch, ...] = ()
    beat: FoundBeat | None = None
    doubts: tuple[str, ...] = ()

    @cached_property
    def importance(self) -> tuple[float, ...]:
        """Return how much each hit matters."""
        reading, letters = self.reading, self.backbone.letters
        return find_importance(self.groove, self.bars, letters, self.levels, reading.graces)

    @cached_property
    def strokes(self) -> tuple[Strokes, ...]:
        """Return how often each piece is struck, and how."""
        return _count_strokes(self.groove, self.levels)

    @cached_property
    def timing(self) -> tuple[PieceTiming, ...]:
        """Return how each piece lies against the grid."""
        return measure_timing(self.reading)

    @cached_property
    def time_feels(self) -> tuple[Stretch, ...]:
        """Return the stretches that go in half- or double-time."""
        return find_time_feels(self.bars, self.cells)

    @property
    def tempo_bpm(self) -> float:
        """Return the tempo at the first hit in quarter notes a minute."""
        first = self.groove.hits[0].tick if self.groove.hits else 0
        return self.groove.timeline.tempo_at(first)

    @property
    def metre(self) -> Metre:
        """Return the metre of the first bar that is struck."""
        first = self.groove.hits[0].tick if self.groove.hits else 0
        return self.groove.timeline.metre_at(first)

    @property
    def fill_bars(self) -> tuple[int, ...]:
        """Return the numbers of the bars that are fills or hold one."""
        return tuple(number for fill in self.fills for number in fill.bar_numbers)

    @property
    def backbone_bars(self) -> tuple[int, ...]:
        """Return the numbers of the bars that make one round of the groove."""
        return tuple(self.bars[index].bar.number for index in self.backbone.loop)


def know_groove(
    groove: Groove,
    *,
    sounding: Sequence[tuple[int, int]] = (),
    chart_bars: int = 0,
    lean: Lean | None = None,
    others: Mapping[int, int] | None = None,
) -> Knowledge:
    """Find out what can be known of *groove*; *sounding* are the start and end ticks of a band's pitched notes.

    *chart_bars* is how long its chart is (0 = none): one that covers the bars before the music says that they count.
    *others* are the ticks at which a band's other players strike, with a mask of them (see `read_meaning`), and *lean*
    is the whole band's, which is taken off its notes and hits already.
    """
    # A band keeps to its file's beat; drums alone are heard by their own.
    is_alone = not sounding and others is None
    heard = follow_drift(groove) if is_alone else groove
    drifts = heard is not groove
    beat = find_lost_beat(groove) if is_alone and not drifts else None
    groove = retime(heard, beat) if beat else heard
    levels = find_levels(groove)
    if is_alone:
        groove, lean = take_lean_off(groove)
    tempo = groove.timeline.tempo_at(groove.hits[0].tick) if groove.hits else 120.0
    feel = find_feel(part_bars(groove, [hit.tick + EARLY_TICKS for hit in groove.hits]), tempo)
    stated = groove.feel.swing_ratio > 1
    loud = [levels.stroke(hit) for hit in groove.hits]
    reading = read_meaning(groove, groove.feel if stated else feel.feel, lean, loud, others)
    count_in = find_count_in(reading.groove, reading.places)
    pickup_ticks = find_pickup_ticks(reading.groove, reading.places, count_in)
    if is_alone:
        reading = begin_at(reading, count_in.start_tick if count_in else 0, pickup_ticks, chart_bars)
    groove = reading.groove
    bars = part_bars(groove, reading.places)
    cells = cut_cells(bars, feel, levels)
    music = _after_count_in(bars, cells, count_in)
    beats = [part.bar.length_ticks / part.bar.metre.beat_ticks for part in bars]
    leaving = find_leaving(bars, beats, levels)
    backbone = set_fills_apart(music, beats, leaving)
    chance = CLIP_MODEL.chance(weigh_clip(music, beats)) if groove.hits else 0.0
    kind = ClipKind.FILL if chance > 0.5 else ClipKind.BEAT
    is_clip = kind is ClipKind.FILL and sum(bool(bar.cells) for bar in music) <= SHORT_CLIP_BARS
    fills = whole_clip(bars, chance) if is_clip else find_fills(bars, music, beats, backbone, leaving)
    first_bar = groove.timeline.bar_at(count_in.start_tick).number if count_in else 0
    return Knowledge(
        groove,
        reading,
        levels,
        feel,
        bars,
        cells,
        backbone,
        fills,
        kind,
        round(chance, 3),
        count_in,
        pickup_ticks,
        find_drum_only(bars, sounding, first_bar),
        beat,
        tuple(_doubts(beat, feel, backbone, reading, drifts=drifts)),
    )


def _after_count_in(
    bars: Sequence[BarHits], cells: Sequence[BarCells], count_in: CountIn | None
) -> tuple[BarCells, ...]:
    """Return *cells* with the bars of the count-in emptied: counting is no groove."""
    if count_in is None:
        return tuple(cells)
    return tuple(
        BarCells(frozenset(), bar.slots, 0.0) if part.bar.end_tick <= count_in.start_tick + 1 else bar
        for part, bar in zip(bars, cells, strict=True)
    )


def _count_strokes(groove: Groove, levels: Levels) -> tuple[Strokes, ...]:
    counts: Counter[tuple[Piece, Stroke]] = Counter((hit.piece, levels.stroke(hit)) for hit in groove.hits)
    pieces = sorted({piece for piece, _ in counts}, key=list(Piece).index)
    return tuple(
        Strokes(
            piece,
            sum(counts[piece, stroke] for stroke in Stroke),
            counts[piece, Stroke.ACCENT],
            counts[piece, Stroke.GHOST],
            levels.is_flat(piece),
        )
        for piece in pieces
    )


def _doubts(
    beat: FoundBeat | None, feel: FoundFeel, backbone: Backbone, reading: Reading, *, drifts: bool
) -> list[str]:
    """Return what is not sure, in sentences."""
    doubts = [reading.doubt] if reading.doubt else []
    doubts += [
        f"another song seems to begin in bar {number}, after a long silence: cut the file there, so that each song has "
        "its own chart, feel and pattern"
        for number in find_other_songs(reading.groove, reading.places)
    ]
    if drifts:
        tempos = [change.tempo_bpm for change in reading.groove.timeline.tempos]
        doubts.append(
            f"the drummer leaves the file's tempo, and was followed: {min(tempos):.0f} to {max(tempos):.0f} a minute"
        )
    if beat is not None:
        sure = (
            "sure"
            if beat.confidence > 0.95
            else "fairly sure"
            if beat.confidence > 0.8
            else "likely"
            if beat.confidence > 0.5
            else "a guess"
        )
        doubts.append(
            f"the file has no tempo of its own: {beat.tempo_bpm:.0f} was found from the hits ({sure}, "
            f"{beat.confidence:.0%}); it could be {beat.rival_bpm:.0f}. Bars of 4/4 are assumed."
        )
    if feel.is_swung and feel.confidence < 0.3:
        doubts.append(f"the swing of {feel.swing_ratio:.1f} to 1 is a guess: few upbeats, or they scatter")
    if not backbone.ideas and len(backbone.letters) > 1:
        doubts.append("no bar comes twice, so there is no backbone to tell fills by")
    return doubts
