from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.errors import HandgrooveError
from handgroove.groove.hits import Feel
from handgroove.harmony.chart import Chart, ChartBar, ChartChord, Cue, parse_chart, read_chart
from handgroove.harmony.charts.chart_items import shares
from handgroove.harmony.chord import parse_chord, parse_key
from handgroove.harmony.symbols.chord_faults import QUALITIES
from handgroove.timeline import Metre
from tests.harmony.charts.chart_format import format_chart


def words(chart: Chart) -> list[str]:
    """Return a chart's bars as short words: symbols with the beat they start on."""
    return [
        " ".join(f"{c.chord.symbol if c.chord else 'N.C.'}@{c.offset_ticks / 960:g}" for c in bar.chords)
        for bar in chart.bars
    ]


@pytest.mark.parametrize(
    ("text", "bars"),
    [
        ("| C | Am7 |", ["C@0", "Am7@0"]),
        ("C | Am7", ["C@0", "Am7@0"]),
        ("| C || F ||", ["C@0", "F@0"]),
        ("| F . G7 . |", ["F@0 G7@2"]),
        ("| F / / G7 |", ["F@0 G7@3"]),
        ("| F G7 |", ["F@0 G7@2"]),
        ("| C Dm Em F |", ["C@0 Dm@1 Em@2 F@3"]),
        ("| C . . . . . . G |", ["C@0 G@3.5"]),
        ("| C | % | % |", ["C@0", "C@0", "C@0"]),
        ("| C | . G . . |", ["C@0", "C@0 G@1"]),
        ("| C | N.C. | NC F |", ["C@0", "N.C.@0", "N.C.@0 F@2"]),
        ("| 3/4 C G |", ["C@0 G@2"]),
        ("| 5/4 C G |", ["C@0 G@3"]),
        ("| 6/8 C G |", ["C@0 G@1.5"]),
        ("| 7/8 C F G |", ["C@0 F@1 G@2"]),
        ("| 12/8 C F G Am |", ["C@0 F@1.5 G@3 Am@4.5"]),
        ("| C\n F |\n| G", ["C@0", "F@0", "G@0"]),
        ("# a remark\n| F#m7 |  # another\n", ["F#m7@0"]),
    ],
)
def test_bars_and_beats(text: str, bars: list[str]) -> None:
    """What is in a bar shares it the way that players read it."""
    assert words(parse_chart(text)) == bars


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("|: C | F :|", "C F C F"),
        ("C | F :| G", "C F C F G"),
        ("|: C :| x3", "C C C"),
        ("|: C | F | 1. G :| 2. Am | D", "C F G C F Am D"),
        ("|: C | 1.2. F :| 3. G | A", "C F C F C G A"),
        ("|: C | 1-3. F :| 4. G", "C F C F C F C G"),
        ("|: C | 1. F :| 2. G :| E", "C F C G E"),
        ("|: C :|: F :|", "C C F F"),
        ("||: C | F :||", "C F C F"),
        ("|C|F|1. G:|2. Am|", "C F G C F Am"),
        ("A | B :| C | D :|", "A B A B C D C D"),
    ],
)
def test_repeats_and_endings_are_unfolded(text: str, order: str) -> None:
    """Bars come in playing order."""
    assert [
        bar.chords[0].chord.symbol for bar in parse_chart(text).bars if bar.chords[0].chord
    ] == order.split()


def test_the_head() -> None:
    """Title, key, metre, tempo and feel are taken from the lines at the top."""
    chart = parse_chart("title: Late Train: one\nkey: F#m\nmetre: 3/4\ntempo: 92.5\nfeel: swing 1.8\n| F#m |")
    assert (chart.title, chart.key, chart.metre) == ("Late Train: one", parse_key("F# minor"), Metre(3, 4))
    assert (chart.tempo_bpm, chart.feel) == (92.5, Feel(1.8, 480))
    assert parse_chart("feel: shuffle sixteenths\n| C |").feel == Feel(2.0, 240)
    assert parse_chart("| C |").key is None


def test_marks_on_chords() -> None:
    """> pushes by an eighth, >> by a sixteenth, ! stops."""
    bar = parse_chart("| C >F >>G Am! |").bars[0]
    assert [c.push_ticks for c in bar.chords] == [0, 480, 240, 0]
    assert [c.cue for c in bar.chords] == [Cue.NONE, Cue.NONE, Cue.NONE, Cue.STOP]


def test_a_push_may_be_written_as_on_the_and() -> None:
    """``&G`` is ``>G``: an eighth early."""
    assert parse_chart("| C | &G | &Am! |").bars == parse_chart("| C | >G | >Am! |").bars


def test_a_stop_lasts_through_holds() -> None:
    """After a stop everyone is silent until the next item that isn't a hold."""
    first, second = parse_chart("| C! | . . F . |").bars
    assert [c.cue for c in first.chords] == [Cue.STOP]
    assert [c.cue for c in second.chords] == [Cue.STOP, Cue.NONE]


def test_bars_of_drums_alone_know_their_chord() -> None:
    """Under drums alone the chord before holds, or the next one where there is none before."""
    chart = parse_chart("| drums | drums | Am | drums F | drums |")
    symbols = [bar.chords[0].chord.symbol for bar in chart.bars if bar.chords[0].chord]
    assert symbols == ["Am", "Am", "Am", "F", "F"]
    assert [bar.chords[0].cue is Cue.DRUMS_ONLY for bar in chart.bars] == [True, True, False, True, True]


def test_sections_and_metre_changes() -> None:
    """A section is named on its first bar; a metre is kept where it changes, also when a repeat goes back."""
    chart = parse_chart("[Verse]\n|: C | 3/4 F :|\n[Chorus] G |")
    assert [bar.section for bar in chart.bars] == ["Verse", "", "Verse", "", "Chorus"]
    assert [bar.metre for bar in chart.bars] == [None, Metre(3, 4), Metre(4, 4), Metre(3, 4), None]


def test_a_pickup_has_a_beat_for_each_item() -> None:
    """The pickup line is an incomplete bar before the first."""
    chart = parse_chart("pickup: G E7\n| Am |")
    assert chart.pickup_ticks == 1920
    assert chart.pickup is not None
    assert [c.offset_ticks for c in chart.pickup.chords] == [0, 960]


BAD = [
    ("| C | Hm |", ["1:7: expected a chord's root, A to G in capitals, with # or b, got 'Hm'"]),
    ("| C F G |", ["1:3: expected 1, 2, 4, 8 or 16 items in a bar of 4/4, got 3"]),
    ("| C | | F |", ["1:7: expected chords in the bar, got nothing"]),
    ("| % |", ["1:3: expected a bar before '%' to repeat, got none"]),
    ("| . C |", ["1:3: expected a chord before the first '.', got none"]),
    ("|: C | F |", ["1:1: expected ':|' to close this '|:', got the end of the chart"]),
    ("| 1. C | D |", ["1:3: expected ':|' at the end of ending 1., got none"]),
    ("| C 3/4 F |", ["1:5: expected the metre '3/4' at a bar's start, before its chords"]),
    ("| 9/7 C |", ["1:3: expected a metre such as 3/4 or 6/8, got '9/7'"]),
    ("tempo: fast\n| C |", ["1:8: tempo: expected a number 20 to 400 (quarter notes a minute), got 'fast'"]),
    ("[Verse\n| C |", ["1:1: expected a section such as [Verse], got '[Verse'"]),
    ("| C |\nkey: G", ["2:1: key: expected before the first bar"]),
    (
        "kee: H\n| C | Cq . F |\n| Zm |",
        [
            "1:1: expected a head line (title, key, metre, tempo, feel, pickup) or bars, got 'kee'",
            "2:7: expected 1, 2, 4, 8 or 16 items in a bar of 4/4, got 3",
            "2:8: expected a chord quality such as m, maj7, 7, sus4, dim or b9, got 'q' in 'Cq'",
            "3:3: expected a chord's root, A to G in capitals, with # or b, got 'Zm'",
        ],
    ),
]


@pytest.mark.parametrize(("text", "told"), BAD)
def test_problems_are_told_at_once_in_order(text: str, told: list[str]) -> None:
    """Each problem has its line and column, what was expected and what was got; all come together, in order."""
    with pytest.raises(HandgrooveError) as caught:
        parse_chart(text, "song.chart")
    problems = caught.value.problems
    assert [f"{p.place.removeprefix('song.chart:')}: {p.text}" for p in problems] == told
    for problem in problems:
        line, column = (int(part) for part in problem.place.split(":")[1:])
        assert problem.excerpt.splitlines() == [
            "    " + text.splitlines()[line - 1],
            " " * (column + 3) + "^",
        ]


def test_a_sections_name_without_brackets_is_helped() -> None:
    """A line such as ``Verse:`` is refused with how a section is written."""
    with pytest.raises(HandgrooveError) as caught:
        parse_chart("Verse:\n| C |")
    assert caught.value.problems[0].remedy == "a section is written [Verse]"


@pytest.mark.parametrize("text", ["", "\n\n# nothing\n", "title: Only a head"])
def test_a_chart_without_bars_is_refused(text: str) -> None:
    """A chart needs at least one bar."""
    with pytest.raises(HandgrooveError, match="expected at least one bar"):
        parse_chart(text)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("| C " * 6000, "expected at most 5000 bars"),
        ("|: C " * 4000, "stopped after 20 problems"),
        ("|: " + "| C " * 4000 + ":| x64", "expected at most 5000 bars with all repeats"),
        ("C//" * 20000, "expected a chord symbol of at most 64 characters"),
        ("no: head\n" * 9000, "stopped after 20 problems"),
        ("C" * 200_000, "expected at most 100000 characters"),
    ],
)
def test_huge_charts_are_refused_briefly(text: str, told: str) -> None:
    """A file that is no chart is refused with a few short lines, not with thousands."""
    with pytest.raises(HandgrooveError, match=told) as caught:
        parse_chart(text)
    assert len(str(caught.value)) < 8000


def test_names_from_elsewhere_are_written_readably() -> None:
    """A title with a # in it comes back; brackets and line breaks in names do no harm."""
    chart = parse_chart("title: Number # 9\n| C |")
    assert parse_chart(format_chart(chart)) == chart
    wild = replace(chart, title="a\nb", bars=(replace(chart.bars[0], section="x [y]\n"),))
    again = parse_chart(format_chart(wild))
    assert (again.title, again.bars[0].section) == ("a b", "x (y)")


def test_repeated_bars_are_written_short() -> None:
    """A bar like the one before is written with a percent sign, a named section in full."""
    assert format_chart(parse_chart("| C F | C F |\n[B]\n| C F |")) == "| C F | % |\n\n[B]\n| C F |\n"


def test_files(tmp_path: Path) -> None:
    """A chart is read from a file; what is not text or is not there is refused in a sentence."""
    path = tmp_path / "song.txt"
    path.write_text("\ufeff| C | B♭ |", encoding="utf-8")
    assert words(read_chart(path)) == ["C@0", "Bb@0"]
    path.write_bytes(b"\xff\xfe\x00C")
    with pytest.raises(HandgrooveError, match="plain text"):
        read_chart(path)
    with pytest.raises(HandgrooveError, match="found nothing there"):
        read_chart(tmp_path / "missing.txt")


METRES = [Metre(4, 4), Metre(3, 4), Metre(6, 8), Metre(5, 4), Metre(7, 8), Metre(12, 8), Metre(2, 2)]
CHORDS = st.builds(
    lambda root, quality: parse_chord(root + quality),
    st.sampled_from(["C", "F#", "Bb", "E"]),
    st.sampled_from(QUALITIES),
)


@st.composite
def made_bars(draw: st.DrawFn, metre: Metre, cue: Cue) -> tuple[ChartChord, ...]:
    """Draw the chords of one bar of *metre*."""
    counts = [count for count in range(1, 17) if shares(count, metre)]
    parts = shares(draw(st.sampled_from(counts)), metre)
    assert parts
    chords, offset = [], 0
    for index, part in enumerate(parts):
        if index == 0 or draw(st.booleans()):
            chord = draw(st.one_of(CHORDS, st.none())) if cue is Cue.NONE else draw(CHORDS)
            mark = draw(st.sampled_from([cue, Cue.STOP])) if cue is Cue.NONE else cue
            chords.append(ChartChord(offset, chord, draw(st.sampled_from([0, 240, 480])), mark))
        offset += part
    return tuple(chords)


@st.composite
def made_charts(draw: st.DrawFn) -> Chart:
    """Draw a chart."""
    first = draw(st.sampled_from(METRES))
    metre, bars = first, []
    for _ in range(draw(st.integers(1, 6))):
        new = draw(st.sampled_from([metre, metre, *METRES]))
        cue = draw(st.sampled_from([Cue.NONE, Cue.NONE, Cue.DRUMS_ONLY]))
        section = draw(st.sampled_from(["", "", "Verse", "B 2"]))
        bars.append(ChartBar(draw(made_bars(new, cue)), None if new == metre else new, section))
        metre = new
    pickup = draw(st.one_of(st.none(), CHORDS.map(lambda chord: ChartBar((ChartChord(0, chord),)))))
    return Chart(
        tuple(bars),
        title=draw(st.sampled_from(["", "A Song", "No. 2"])),
        key=draw(st.sampled_from([None, parse_key("Bb"), parse_key("F# minor")])),
        metre=first,
        tempo_bpm=draw(st.sampled_from([None, 96.0, 132.5])),
        feel=draw(st.sampled_from([None, Feel(), Feel(1.7, 480), Feel(2.0, 240)])),
        pickup=pickup,
        pickup_ticks=first.unit_ticks if pickup else 0,
    )


@given(made_charts())
@settings(max_examples=150, deadline=None)
def test_what_is_written_is_read_back(chart: Chart) -> None:
    """Any chart that is written and read again is the same chart."""
    assert parse_chart(format_chart(chart)) == chart


@given(st.text(st.sampled_from("CFmG7b#|:.%/>! \n[]123x(),"), max_size=60))
@settings(max_examples=300, deadline=None)
def test_any_text_is_a_chart_or_problems(text: str) -> None:
    """No text crashes the reader."""
    try:
        chart = parse_chart(text)
    except HandgrooveError:
        return
    assert parse_chart(format_chart(chart)).bars == chart.bars
