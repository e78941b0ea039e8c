"""What comes before the music is not counted: a pickup, a count-in or silence changes no note of what follows."""

from __future__ import annotations

from dataclasses import replace

import pytest

from handgroove import parse_chart, read_pattern, translate
from handgroove.groove.hits import Groove, Hit
from handgroove.groove.kit import Piece
from handgroove.host.fence import desk_fence
from handgroove.live.shell.prepare import prepare_pattern
from handgroove.timeline import Timeline
from tests.laws.made import Drummer, humanise

CHART = "| Am7 | Fmaj7 | C | G |"
PICKUP = ((2880, Piece.SNARE, 88), (3360, Piece.SNARE, 100), (3600, Piece.SNARE, 112))
STICKS = tuple((960 * beat, Piece.SIDE_STICK, 100) for beat in range(4))
BEFORE = {
    "silence": ((), 0),
    "pickup": (PICKUP, 960),
    "count-in": (STICKS, 0),
    "pickup on 3 and 4": (((1920, Piece.FLOOR_TOM, 90), *PICKUP), 1920),
}


def with_a_bar_before(groove: Groove, strokes: tuple[tuple[int, Piece, int], ...]) -> Groove:
    """Return *groove* a bar of 4/4 later, with *strokes* (tick, piece, velocity) in that bar."""
    later = [replace(hit, tick=hit.tick + 3840) for hit in groove.hits]
    hits = [*(Hit(*stroke) for stroke in strokes), *later]
    old = groove.timeline
    timeline = Timeline(old.metres, old.tempos, old.end_tick + 3840)
    return replace(groove, hits=tuple(sorted(hits, key=lambda hit: hit.order)), timeline=timeline)


@pytest.mark.parametrize("lean_ms", [-25, 0, 30])
@pytest.mark.parametrize("before", BEFORE)
@pytest.mark.parametrize("pattern", ["straight eighths", "sixteenth funk", "disco"])
def test_what_stands_before_the_first_bar_changes_nothing_in_it(
    pattern: str, before: str, lean_ms: int
) -> None:
    """The left hand's first bars, their chords and the page's count of bars are as without it."""
    strokes, pickup_ticks = BEFORE[before]
    drummer = Drummer(scatter_ms=3, lean_ms=lean_ms)
    groove = read_pattern(pattern).groove(9)
    alone = translate(humanise(groove, drummer), parse_chart(CHART))
    part = translate(humanise(with_a_bar_before(groove, strokes), drummer), parse_chart(CHART))
    timeline = part.timeline
    assert (timeline.first_tick, timeline.pickup_ticks) == (3840, pickup_ticks)
    assert [bar.number for bar in timeline.bars()] == [*([0] if pickup_ticks else []), *range(1, 10)]
    assert [span.chord for span in part.harmony.spans] == [span.chord for span in alone.harmony.spans]

    def low(notes: object, start: int) -> list[tuple[int, int]]:
        return sorted(
            (note.meant - start, note.pitch)
            for note in notes  # type: ignore[attr-defined]
            if note.pitch < 48 and start + 960 <= note.meant < start + 4 * 3840
        )

    assert low(part.notes, 3840) == low(alone.notes, 0)
    played = {index for note in part.notes for index in note.hits}
    told = {index for line in part.omissions for index in line.hits if "count-in" in line.reason}
    count = len(STICKS) if before == "count-in" else 0
    assert told == set(range(count))
    assert not told & played


def test_a_chart_as_long_as_the_file_counts_what_comes_before() -> None:
    """Nine bars of chart over a pickup's bar and eight bars count the first one too."""
    groove = with_a_bar_before(read_pattern("disco").groove(8), PICKUP)
    part = translate(groove, parse_chart("| E7 | Am7 | Fmaj7 | C | G | Am7 | Fmaj7 | C | G |"))
    assert part.timeline.first_tick == 0
    assert len(list(part.timeline.bars())) == 9


@pytest.mark.parametrize("before", BEFORE)
def test_a_file_on_stage_begins_with_its_music(before: str) -> None:
    """Live, a drummer's file begins with its first bar or its pickup; silence and a count-in are cut."""
    strokes, pickup_ticks = BEFORE[before]
    groove = with_a_bar_before(read_pattern("disco").groove(4), strokes)
    ready = prepare_pattern(read_pattern("disco"), desk_fence(), groove)
    assert ready.loop is not None
    assert (ready.loop.places[0], ready.loop.hits[0].tick) == (0, 0)
    assert ready.loop.length_ticks == pickup_ticks + 4 * 3840
    kick = next(i for i, hit in enumerate(ready.loop.hits) if hit.piece is Piece.KICK)
    assert ready.loop.places[kick] == pickup_ticks
