"""The files of a score: whole, the same every time, and with a plain word where a library is missing."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from handgroove.errors import HandgrooveError
from handgroove.output.score import write_score
from tests.output.score.parts import straight_eighths, swing


def test_musicxml_needs_no_extra(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The MusicXML is written without any library of the score's extra."""
    for name in ("verovio", "typst"):
        monkeypatch.setitem(sys.modules, name, None)
    assert [p.name for p in write_score(straight_eighths(), tmp_path, formats=["musicxml"])] == [
        "score.musicxml"
    ]


def test_missing_library_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the extra the message says what to install, and nothing is written."""
    monkeypatch.setitem(sys.modules, "verovio", None)
    with pytest.raises(HandgrooveError, match=r"pip install '\.\[score\]'"):
        write_score(straight_eighths(), tmp_path)
    assert not list(tmp_path.iterdir())


def test_unknown_format_is_refused(tmp_path: Path) -> None:
    """A format that does not exist is named with what there is."""
    with pytest.raises(HandgrooveError, match="got 'pfd'"):
        write_score(straight_eighths(), tmp_path, formats=["pfd"])


def test_same_part_gives_the_same_bytes(tmp_path: Path) -> None:
    """MusicXML, SVG, PDF and PNG of one part are the same bytes every time."""
    part = swing()
    first, second = write_score(part, tmp_path / "a"), write_score(part, tmp_path / "b")
    assert [p.name for p in first] == ["score.musicxml", "score-1.svg", "score.pdf", "score-1.png"]
    for one, other in zip(first, second, strict=True):
        assert one.read_bytes() == other.read_bytes(), one.name
