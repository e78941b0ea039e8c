from __future__ import annotations

from handgroove.harmony.chart import format_chart, lay_chart, parse_chart
from handgroove.harmony.charts.unlay import make_chart
from handgroove.harmony.chord import parse_key
from handgroove.harmony.find.recognise import hear_harmony
from handgroove.harmony.find.sounding import Tone
from handgroove.timeline import Metre, Timeline
from tests.tools.measure_harmony import made_band


def test_a_laid_chart_comes_back() -> None:
    """Laying a chart and writing it out again gives the same bars."""
    text = "key: C\nmetre: 4/4\ntempo: 96\n[A]\n| Am7 | F . G7 . | C | % |\n[B]\n| Dm . . G | N.C. |"
    chart = parse_chart(text)
    timeline = Timeline.of(Metre(4, 4), 96, len(chart.bars))
    again = make_chart(lay_chart(chart, timeline), timeline)
    assert again == parse_chart(format_chart(again))
    assert [bar.chords for bar in again.bars] == [bar.chords for bar in chart.bars]
    assert [bar.section for bar in again.bars] == [bar.section for bar in chart.bars]
    assert (again.key, again.metre, again.tempo_bpm) == (chart.key, chart.metre, 96)


def test_what_is_heard_becomes_a_chart() -> None:
    """A band's notes become a chart that can be read, two chords a bar as they were played."""
    notes, timeline = made_band(0.25)
    chart = make_chart(hear_harmony(notes, timeline), timeline, "Heard")
    assert format_chart(chart).splitlines()[-2] == "| Dm7 G7 | Cmaj7 A7 | Fmaj7 Bm7b5 | E7#5 Am7 |"
    assert parse_chart(format_chart(chart)) == chart


def test_relative_keys_are_told_apart_by_the_close() -> None:
    """A song on the notes of C major that closes on A minor is heard in A minor."""
    chart = parse_chart("| Am | F | C | G | Am | F | G | Am |")
    notes = [
        Tone(3840 * index, 3840 * index + 3840, base + pc)
        for index, bar in enumerate(chart.bars)
        for chord in bar.chords
        if chord.chord
        for base, pcs in ((36, chord.chord.tone_pcs[:1]), (60, chord.chord.tone_pcs))
        for pc in pcs
    ]
    assert hear_harmony(notes, Timeline.of(Metre(4, 4), 120, 8)).key == parse_key("A minor")


def test_silence_is_no_chart_given() -> None:
    """Where nothing sounds the harmony is the one without a chart."""
    assert hear_harmony([], Timeline.of(Metre(4, 4), 120, 2)).stated is False
