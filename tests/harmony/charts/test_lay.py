from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.harmony.chart import Cue, lay_chart, parse_chart
from handgroove.harmony.chord import Key, Name, parse_key
from handgroove.timeline import Metre, MetreChange, TempoChange, Timeline
from tests.harmony.made_charts import CHANGES, laid

FOUR = Metre(4, 4)


def spans(text: str, bars: int | None = None, metre: Metre | None = None) -> list[tuple[float, float, str]]:
    """Return the laid chart's spans as (start, end, symbol) in quarters."""
    return [
        (s.start_tick / 960, s.end_tick / 960, s.chord.symbol if s.chord else "N.C.")
        for s in laid(text, bars, metre).spans
    ]


def test_each_chord_holds_until_the_next() -> None:
    """Spans follow one another without gaps; a chord that only goes on is one span."""
    assert spans("| C | C F | F | N.C. |") == [(0, 6, "C"), (6, 12, "F"), (12, 16, "N.C.")]


def test_pushes_move_the_change() -> None:
    """A pushed chord takes over an eighth or a sixteenth before its place; at the very start it can't."""
    assert spans("| >C | >F >>G |") == [(0, 3.5, "C"), (3.5, 5.75, "F"), (5.75, 8, "G")]


def test_a_shorter_chart_is_repeated_and_says_so() -> None:
    """A chart that is too short starts again."""
    harmony = laid("| C | F |", 4)
    assert harmony.messages == ("The chart has 2 bars, the groove 4: the chart is played twice.",)
    assert [s.chord.symbol for s in harmony.spans if s.chord] == ["C", "F", "C", "F"]
    part = laid("| C | F |", 3)
    assert part.messages == (
        "The chart has 2 bars, the groove 3: the chart is played once, then its first bar.",
    )


def test_a_longer_chart_is_cut_and_says_so() -> None:
    """A chart that is too long loses its end."""
    harmony = laid("| C | F | G | Am |", 2)
    assert harmony.messages == ("The chart has 4 bars, the groove 2: bars 3 to 4 of the chart are left out.",)
    assert harmony.spans[-1].end_tick == 2 * FOUR.bar_ticks


def test_an_equal_chart_says_nothing() -> None:
    """No message where chart and groove agree."""
    assert laid("| C | F |", 2).messages == ()


def test_no_chart_gives_the_tonic_chord_and_says_so() -> None:
    """Without a chart one chord holds: C major's, or the given key's."""
    timeline = Timeline.of(FOUR, 120, 3)
    harmony = lay_chart(None, timeline)
    assert (harmony.stated, harmony.spans[0].chord and harmony.spans[0].chord.symbol) == (False, "C")
    assert harmony.spans[0].end_tick == timeline.end_tick
    assert harmony.messages == ("No chart was given: C, the chord of C major, holds throughout.",)
    minor = lay_chart(None, timeline, parse_key("F# minor"))
    assert minor.spans[0].chord is not None
    assert minor.spans[0].chord.symbol == "F#m"


def test_the_key_is_stated_or_found() -> None:
    """The key is the caller's, else the chart's, else the one that its chords are in."""
    timeline = Timeline.of(FOUR, 120, 4)
    chart = parse_chart("key: Bb\n| Bb | F |")
    assert lay_chart(chart, timeline, Key(Name("F"))).key == Key(Name("F"))
    assert lay_chart(chart, timeline).key == Key(Name("B", -1))
    assert laid("| Am7 | Dm7 | E7 | Am7 |").key == Key(Name("A"), True)
    assert laid("| Dm7 | G7 | Cmaj7 | Cmaj7 |").key == Key(Name("C"))
    assert laid("| Gb | Db7 | Gb |").key == Key(Name("G", -1))


def test_an_unstated_metre_follows_the_groove() -> None:
    """A chart that names no metre is shared out over the groove's bars, on its beats."""
    assert spans("| C F | G |", 2, Metre(3, 4)) == [(0, 2, "C"), (2, 3, "F"), (3, 6, "G")]


def test_a_stated_metre_that_differs_is_told() -> None:
    """A chart in another metre than the groove's is fitted, with a message."""
    harmony = lay_chart(parse_chart("metre: 4/4\n| C F |"), Timeline.of(Metre(3, 4), 120, 1))
    assert harmony.messages == (
        "The chart is in 4/4 where the groove is in 3/4 (bar 1): its chords are fitted to the groove's bars.",
    )


def test_pickups() -> None:
    """A pickup over a pickup ends where it ends; without one in the groove it is left out with a message."""
    timeline = Timeline((MetreChange(0, FOUR),), (TempoChange(0, 500_000),), 960 + 3840, 960)
    chart = parse_chart("pickup: E7\n| Am |")
    assert [(s.start_tick, s.chord and s.chord.symbol) for s in lay_chart(chart, timeline).spans] == [
        (0, "E7"),
        (960, "Am"),
    ]
    plain = lay_chart(parse_chart("| Am |"), timeline)
    assert [(s.start_tick, s.end_tick) for s in plain.spans] == [(960, 4800)]
    assert plain.at(0) is plain.spans[0], "the pickup goes with the first bar's chord"
    late = lay_chart(chart, Timeline.of(FOUR, 120, 1))
    assert late.messages == ("The chart's pickup is left out: the groove starts with a full bar.",)


def test_a_held_stop_is_not_struck_again() -> None:
    """A hold over the bar line goes on being silent; a stop that is written again is struck again."""
    held = lay_chart(parse_chart("| C! | . . . . | F |"), Timeline.of(FOUR, 120, 3)).spans
    assert [(span.start_tick, span.cue) for span in held] == [(0, Cue.STOP), (7680, Cue.NONE)]
    again = lay_chart(parse_chart("| C! | C! | F |"), Timeline.of(FOUR, 120, 3)).spans
    assert [span.start_tick for span in again] == [0, 3840, 7680]


def test_a_span_knows_how_early_it_is() -> None:
    """A pushed chord starts its span an eighth early and says so."""
    spans = lay_chart(parse_chart("| C | >F | >>G |"), Timeline.of(FOUR, 120, 3)).spans
    assert [(span.start_tick, span.push_ticks) for span in spans] == [(0, 0), (3360, 480), (7440, 240)]


def test_stops_and_drum_bars_keep_their_cue() -> None:
    """Cues reach the spans."""
    cues = [s.cue for s in laid("| drums C | C! . F . | F |").spans]
    assert cues == [Cue.DRUMS_ONLY, Cue.STOP, Cue.NONE]


def test_sections_are_marked() -> None:
    """A section's name stands at its first bar, again where the chart starts again."""
    harmony = laid("[A]\n| C |\n[B]\n| F |", 3)
    assert [(m.tick, m.text) for m in harmony.sections] == [(0, "A"), (3840, "B"), (7680, "A")]


@pytest.mark.parametrize("end_tick", [0, 1, 3840 * 2 + 5])
def test_any_length_has_spans(end_tick: int) -> None:
    """A timeline without an end (live) gets the whole chart; a ragged one its last bar whole."""
    timeline = Timeline(end_tick=end_tick)
    harmony = lay_chart(parse_chart("| C | F | G |"), timeline)
    assert harmony.spans[0].start_tick == 0
    assert harmony.spans[-1].end_tick >= end_tick
    if not end_tick:
        assert len(harmony.spans) == 3
        assert harmony.messages == ()


@given(st.integers(1, 40), st.sampled_from([FOUR, Metre(3, 4), Metre(7, 8), Metre(12, 8)]))
@settings(deadline=None)
def test_spans_never_gap_or_overlap(bars: int, metre: Metre) -> None:
    """Whatever the length and metre, spans cover the music from its start to its end, each with some length."""
    timeline = Timeline.of(metre, 120, bars)
    found = lay_chart(parse_chart(CHANGES + "| >C >>F | C! N.C. |"), timeline).spans
    assert found[0].start_tick == 0
    assert found[-1].end_tick == timeline.end_tick
    assert all(a.end_tick == b.start_tick and a.start_tick < a.end_tick for a, b in itertools.pairwise(found))
