"""The shape of a groove: count-in, pickup, half- and double-time, and the bars where only the drums play."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby, pairwise

from handgroove.groove.hits import Groove
from handgroove.groove.kit import Piece
from handgroove.groove.know.barlines import BarHits
from handgroove.groove.know.cells import BarCells, Voice
from handgroove.timeline import Metre

COUNTING = frozenset(
    {Piece.SIDE_STICK, Piece.CLOSED_HAT, Piece.PEDAL_HAT, Piece.CLAVES, Piece.HIGH_WOOD_BLOCK, Piece.COWBELL}
)
EARLY_TICKS = 80  # a pitched note this little before a bar line is that bar's
SONG_GAP_BARS = 2  # of silence, with another tempo or metre behind it: another song (design choice)
TEMPO_STEP = 0.08  # a share of the tempo that no player drifts by in a bar or two of silence
EVEN_SHARE = 0.12  # of the beat: counting strokes are at least this even


class TimeFeel(StrEnum):
    """How fast the backbeat makes the time feel beside the written metre."""

    AS_WRITTEN = "as written"
    HALF = "half-time"
    DOUBLE = "double-time"


class DrumsAlone(StrEnum):
    """Where in a song the drums play alone."""

    INTRO = "intro"
    BREAK = "break"
    OUTRO = "outro"


@dataclass(frozen=True, slots=True)
class CountIn:
    """Strokes that count the band in: how many (*strokes*), on which *piece*, and the tick where the music starts."""

    strokes: int
    piece: Piece
    start_tick: int


@dataclass(frozen=True, slots=True)
class Stretch:
    """Bars *first* to *last* (numbers, both included) and what they are."""

    first: int
    last: int
    name: str


def find_count_in(groove: Groove, places: Sequence[int]) -> CountIn | None:
    """Find three to eight even strokes of one counting piece, alone, on the beats before anything else is struck.

    *places* are the hits' meant places.
    """
    hits = groove.hits
    if not hits or hits[0].piece not in COUNTING:
        return None
    piece = hits[0].piece
    count = next((index for index, hit in enumerate(hits) if hit.piece is not piece), len(hits))
    if count == len(hits):
        return None
    music = places[count]
    strokes = [place for place in places[:count] if place < music]
    if not 3 <= len(strokes) <= 8 or (piece is Piece.CLOSED_HAT and len(strokes) % 2):
        return None
    beat = groove.timeline.metre_at(strokes[0]).beat_ticks
    gaps = [b - a for a, b in pairwise((*strokes, music))]
    unit = gaps[-1]
    whole_beats = any(abs(unit - n * beat) < EVEN_SHARE * n * beat for n in (1, 2))
    slow = next((index for index, gap in enumerate(gaps) if abs(gap - unit) < EVEN_SHARE * unit), 0)
    even = all(abs(gap - unit) < EVEN_SHARE * unit for gap in gaps[slow:])
    twice = all(abs(gap - 2 * unit) < 2 * EVEN_SHARE * unit for gap in gaps[:slow])
    later = [hit for hit, place in zip(hits, places, strict=True) if music <= place < music + 4 * unit]
    busier = len({hit.piece for hit in later}) > 1
    return CountIn(len(strokes), piece, music) if whole_beats and even and twice and busier else None


def find_other_songs(groove: Groove, places: Sequence[int]) -> tuple[int, ...]:
    """Return the numbers of the bars that begin another song: after a long silence, in another tempo or metre."""
    timeline, found = groove.timeline, []
    for before, after in pairwise(sorted(set(places))):
        bar = timeline.bar_at(before)
        if after - bar.end_tick < SONG_GAP_BARS * bar.metre.bar_ticks:
            continue
        ratio = timeline.tempo_at(after) / timeline.tempo_at(before)
        if timeline.metre_at(after) != bar.metre or abs(ratio - 1) > TEMPO_STEP:
            found.append(timeline.bar_at(after).number)
    return tuple(found)


def find_pickup_ticks(groove: Groove, places: Sequence[int], count_in: CountIn | None) -> int:
    """Return how long before the first full bar the drums come in, in whole beats (0 = they start with a bar)."""
    timeline = groove.timeline
    if timeline.pickup_ticks:
        return timeline.pickup_ticks
    struck = [place for place in places if count_in is None or place >= count_in.start_tick]
    if not struck:
        return 0
    bar, unit = timeline.bar_at(min(struck)), timeline.metre_at(min(struck)).unit_ticks
    if min(struck) - bar.start_tick < bar.length_ticks / 2 or max(struck) < bar.end_tick:
        return 0
    return -(-(bar.end_tick - min(struck)) // unit) * unit


def find_time_feel(cells: BarCells, metre: Metre) -> TimeFeel | None:
    """Return how the backbeat makes a bar feel, or None where it has no backbeat to tell by (or no four beats)."""
    beats = metre.bar_ticks / metre.beat_ticks
    per_beat = cells.slots // 4
    if beats != 4 or per_beat == 0:
        return None
    snares = {slot for slot, voice in cells.cells if voice is Voice.SNARE}
    on_beats = {slot // per_beat for slot in snares if slot % per_beat == 0}
    between = {slot // per_beat for slot in snares if slot % per_beat == (per_beat + 1) // 2}
    if per_beat % 2 == 0 and len(between) >= 3 and not on_beats:
        return TimeFeel.DOUBLE
    if on_beats == {2} and len(between) < 2:
        return TimeFeel.HALF
    if {1, 3} & on_beats and 2 not in on_beats:
        return TimeFeel.AS_WRITTEN
    return None


def find_time_feels(bars: Sequence[BarHits], cells: Sequence[BarCells]) -> tuple[Stretch, ...]:
    """Return the stretches of three bars and more that go in half- or double-time."""
    feels = [find_time_feel(bar, part.bar.metre) for part, bar in zip(bars, cells, strict=True)]
    for index in range(1, len(feels)):
        feels[index] = feels[index] or feels[index - 1]
    found = []
    for feel, run in groupby(zip(feels, bars, strict=True), key=lambda item: item[0]):
        numbers = [part.bar.number for _, part in run]
        if feel in (TimeFeel.HALF, TimeFeel.DOUBLE) and len(numbers) > 2:
            found.append(Stretch(numbers[0], numbers[-1], feel.value))
    return tuple(found)


def find_drum_only(
    bars: Sequence[BarHits], sounding: Sequence[tuple[int, int]], first_bar: int = 0
) -> tuple[Stretch, ...]:
    """Find the bars with hits in which no pitched note sounds; *sounding* are the notes' start and end ticks.

    A bar counts as alone though a note of the bar before rings a little into it, or a pickup leads out of it.
    """
    if not sounding:
        return ()
    alone = [_is_alone(part, sounding) and part.bar.number >= first_bar for part in bars]
    pitched = [index for index, part in enumerate(bars) if not _is_alone(part, sounding)]
    found = []
    for is_alone, run in groupby(range(len(bars)), key=lambda index: alone[index]):
        indices = list(run)
        struck = [index for index in indices if bars[index].hits]
        if not is_alone or not struck:
            continue
        indices = indices[struck[0] - indices[0] : struck[-1] - indices[0] + 1]  # silence is not drums alone
        place = DrumsAlone.BREAK
        if not pitched or indices[-1] < pitched[0]:
            place = DrumsAlone.INTRO
        elif indices[0] > pitched[-1]:
            place = DrumsAlone.OUTRO
        found.append(Stretch(bars[indices[0]].bar.number, bars[indices[-1]].bar.number, place.value))
    return tuple(found)


def _is_alone(part: BarHits, sounding: Sequence[tuple[int, int]]) -> bool:
    """Return whether no note sounds in the bar but for a tail at its start or a pickup in its last beat."""
    bar = part.bar
    low, high = bar.start_tick + bar.metre.beat_ticks, bar.end_tick - bar.metre.beat_ticks
    return not any(
        (start < high and end > low) or bar.start_tick - EARLY_TICKS <= start < high
        for start, end in sounding
    )
