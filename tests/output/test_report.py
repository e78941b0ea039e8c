"""The report for eyes and for programs."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from handgroove.groove.hits import Feel
from handgroove.output.passages import find_passages, format_place
from handgroove.output.report import format_chords, format_feel, format_report_json, print_report
from handgroove.part import Change, Omission
from tests.output.parts import golden_part


def test_the_json_counts_what_went_in_and_out() -> None:
    """Bars, hits, notes, chords and what sounds of each drum are all there."""
    told = json.loads(format_report_json(golden_part()))
    assert told["bars"] == 4
    assert told["hits"]["count"] == 4 * 14
    assert told["notes"]["count"] == len(golden_part().notes)
    assert told["kept"]["kick"] == {"sounding": 16, "of": 16}
    assert [row["chord"] for row in told["chords"]] == ["Am7", "Fmaj7", "Am7", "Fmaj7"]


def test_a_passage_is_one_line() -> None:
    """The same thing in neighbouring bars is one line, though its numbers differ; far away it is another."""
    bars = [0, 1, 1, 2, 8]
    omissions = tuple(
        Omission(3840 * bar + n, Change.THINNED, "closed hat", f"hats thinned: {9 + n % 2} a second")
        for n, bar in enumerate(bars)
    )
    part = replace(golden_part(), omissions=omissions)
    first, second = find_passages(part)
    assert (first.count, format_place(part, first)) == (4, "bars 1 to 3")
    assert (second.count, format_place(part, second)) == (1, "bar 9, beat 1")


def test_every_omission_is_in_a_passage() -> None:
    """Gathering loses nothing."""
    omissions = tuple(
        Omission(n * 977, Change.LEFT_OUT, ("kick", "snare")[n % 2], f"reason {'ab'[n % 3 == 0]}")
        for n in range(40)
    )
    passages = find_passages(replace(golden_part(), omissions=omissions))
    assert sorted(o.tick for p in passages for o in p.omissions) == [o.tick for o in omissions]


def test_the_report_for_eyes_tells_where_what_and_why(capsys: pytest.CaptureFixture[str]) -> None:
    """The table shows the place, the change and the reason."""
    omission = Omission(2400, Change.LEFT_OUT, "kick", "one little finger can't")
    print_report(replace(golden_part(), omissions=(omission,)))
    out = capsys.readouterr().out
    assert "bar 1, beat 3&" in out
    assert "kick left out" in out
    assert "one little finger can't" in out


def test_nothing_left_out_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    """A part without changes says that there are none."""
    print_report(golden_part())
    assert "Nothing was left out or changed" in capsys.readouterr().out


def test_chords_are_shown_bar_by_bar() -> None:
    """A bar that goes on with its chord is a percent sign."""
    part = golden_part()
    assert format_chords(part.harmony, part.timeline) == "| Am7 | Fmaj7 | Am7 | Fmaj7 |"


def test_feel_is_said_in_words() -> None:
    """Straight and swung feels are named."""
    assert format_feel(Feel()) == "straight"
    assert format_feel(Feel(2.0, 480)) == "swung eighths, 2.0 to 1"
    assert format_feel(Feel(1.5, 240)) == "swung sixteenths, 1.5 to 1"
