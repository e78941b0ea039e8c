"""The files of a score: the same every time, and a plain word where a library is missing."""

from __future__ import annotations

import sys

import pytest

from handgroove.errors import HandgrooveError
from handgroove.output.score import format_score
from tests.output.score.parts import straight_eighths, swing


def test_musicxml_needs_no_extra(monkeypatch: pytest.MonkeyPatch) -> None:
    """The MusicXML is written without any library of the score's extra."""
    for name in ("verovio", "typst"):
        monkeypatch.setitem(sys.modules, name, None)
    assert list(format_score(straight_eighths(), formats=["musicxml"])) == ["score.musicxml"]


def test_missing_library_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the extra the message says what to install, and nothing is written."""
    monkeypatch.setitem(sys.modules, "verovio", None)
    with pytest.raises(HandgrooveError, match=r"pip install '\.\[score\]'"):
        format_score(straight_eighths())


def test_unknown_format_is_refused() -> None:
    """A format that does not exist is named with what there is."""
    with pytest.raises(HandgrooveError, match="got 'pfd'"):
        format_score(straight_eighths(), formats=["pfd"])


def test_same_part_gives_the_same_bytes() -> None:
    """MusicXML, SVG, PDF and PNG of one part are the same bytes every time."""
    part = swing()
    first, second = format_score(part), format_score(part)
    assert list(first) == ["score.musicxml", "score-1.svg", "score.pdf", "score-1.png"]
    assert first == second
