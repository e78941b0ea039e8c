"""Laws that hold for any part, however wild."""

from __future__ import annotations

import re

from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.groove.hits import Feel
from handgroove.harmony.chord import Key, Name
from handgroove.metre import VALUES
from handgroove.output.score import Options, format_musicxml, make_sheet
from handgroove.part import Note, Part
from handgroove.strike import Hand, Role
from handgroove.timeline import Metre, MetreChange, TempoChange, Timeline
from tests.output.score.parts import AM7, make_part

METRES = [
    Metre(*m) for m in ((4, 4), (3, 4), (6, 8), (7, 8), (5, 4), (12, 8), (2, 2), (5, 8), (7, 16), (11, 8))
]
TICKS_OF = {name: ticks for ticks, (name, dots) in VALUES.items() if not dots}


@st.composite
def parts(draw: st.DrawFn) -> Part:
    """Make a part with a change of metre, a pickup or none, and notes anywhere of any length."""
    first, second = draw(st.sampled_from(METRES)), draw(st.sampled_from(METRES))
    pickup = draw(st.sampled_from([0, 480, 960])) % first.bar_ticks
    change = pickup + draw(st.integers(1, 2)) * first.bar_ticks
    end = change + 2 * second.bar_ticks
    metres = (MetreChange(0, first), MetreChange(change, second))
    timeline = Timeline(metres, (TempoChange(0, draw(st.integers(250_000, 900_000))),), end, pickup)
    note = st.builds(
        Note,
        tick=st.one_of(st.integers(0, end - 1), st.integers(0, (end - 1) // 240).map(lambda n: n * 240)),
        length_ticks=st.integers(1, 6000),
        pitch=st.integers(21, 108),
        velocity=st.integers(1, 127),
        hand=st.sampled_from(Hand),
        role=st.sampled_from(Role),
        finger=st.integers(0, 5),
        grace=st.sampled_from([False] * 9 + [True]),
    )
    notes = draw(st.lists(note, max_size=40, unique_by=lambda n: (n.tick, n.pitch)))
    feel = draw(st.sampled_from([Feel(), Feel(1.6, 480), Feel(2.0, 480), Feel(1.5, 240)]))
    name = Name(draw(st.sampled_from("CDEFGAB")), draw(st.sampled_from([-1, 0])))
    key = Key(name if str(name) not in ("Cb", "Fb") else Name("C"))
    return make_part("Any", notes, timeline, [(0, AM7)], key, feel)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(parts())
def test_bars_are_full_and_no_note_is_lost(part: Part) -> None:
    """Every bar of every voice is full of values that exist, and every note is in the file, once, under its id."""
    sheet = make_sheet(part, Options(fingerings="all"))
    for measure in sheet.measures:
        for symbols in measure.voices.values():
            at = measure.bar.start_tick
            for symbol in symbols:
                assert symbol.tick == at
                at = symbol.end_tick
                if not symbol.whole_bar:
                    written = TICKS_OF[symbol.type] * (3 if symbol.dots else 2) // 2
                    ratio = symbol.tuplet
                    assert symbol.length_ticks == (
                        written * ratio.normal // ratio.actual if ratio else written
                    )
            assert at == measure.bar.end_tick
    ids = re.findall(r'id="(n\d+)"', format_musicxml(sheet))
    assert sorted(ids) == sorted(f"n{index}" for index in range(len(part.notes)))
