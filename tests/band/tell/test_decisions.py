"""Decisions in the open, and the page that shows them."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from handgroove.band.read.choices import Choices, Rule
from handgroove.band.read.read_band import read_band
from handgroove.band.read.roles import BandRole
from handgroove.band.tell.comparison_page import format_page
from handgroove.band.tell.decisions import Ear, Fate, decide, format_decisions
from handgroove.band.write.condensing import Condensed, condense_band
from handgroove.part import Note
from handgroove.strike import Hand, Role

DEMO = Path(__file__).parents[3] / "demo" / "lantern-street-band.mid"


@pytest.fixture(scope="module")
def demo() -> Condensed:
    """Return the demo song's condensing without the strings in the chorus."""
    return condense_band(read_band(DEMO), choices=Choices(leave_out=(Rule("Strings", "Chorus"),)))


def note(tick: int, length: int, pitch: int) -> Note:
    """Return a note of the right hand."""
    return Note(tick, length, pitch, 80, Hand.RIGHT, Role.COMPING)


def test_a_notes_fate_is_told_by_what_is_struck() -> None:
    """On its key it is kept, in another octave moved, near by or sounding on merged, else left out."""
    ear = Ear([note(0, 960, 60), note(2400, 240, 72)], 40)
    assert ear.fate(20, 60) is Fate.KEPT
    assert ear.fate(20, 72) is Fate.MOVED
    assert ear.fate(700, 60) is Fate.MERGED
    assert ear.fate(2000, 60) is Fate.MERGED
    assert ear.fate(1500, 60) is Fate.LEFT_OUT
    assert ear.fate(0, 61) is Fate.LEFT_OUT


def test_every_note_of_the_band_is_accounted_for_once(demo: Condensed) -> None:
    """The accounts add up to the notes of all tracks."""
    accounts = decide(demo)
    assert sum(account.total for account in accounts) == sum(
        len(t.notes) for t in demo.sketch.form.band.tracks
    )


def test_accounts_are_words_with_weights(demo: Condensed) -> None:
    """Sections, tracks, weights, counts and reasons stand in the text; what was asked for is told as such."""
    text = format_decisions(demo)
    assert re.search(r"^Verse, bars 5 to 12$", text, re.MULTILINE)
    assert "  the left hand plays kick and snare on the bass line's notes" in text
    assert re.search(r"^  Lead \(melody, weight [\d.]+\): 38 kept of 38$", text, re.MULTILINE)
    assert re.search(r"^  Drums: hat .*left out where the tune has the hand", text, re.MULTILINE)
    assert re.search(r"Strings \(pad.*left out where you asked for it", text)
    assert "drums alone (intro) in bars 1 to 4" in text


def test_a_tune_that_is_moved_is_told() -> None:
    """With the bass for a tune, every section says how many octaves up it went."""
    choices = Choices(roles={"Bass": BandRole.MELODY, "Lead": BandRole.UNUSED})
    text = format_decisions(condense_band(read_band(DEMO), choices=choices))
    assert re.search(r"^  the tune is moved up (two|three) octaves \(41 notes\)$", text, re.MULTILINE)


def test_the_melody_weighs_most_and_the_pad_least(demo: Condensed) -> None:
    """Weights follow the player's order."""
    weights = {account.track: account.weight for account in decide(demo)}
    assert (
        weights["Lead"]
        > weights["Drums: kick"]
        > weights["Drums: snare"]
        > weights["Bass"]
        > weights["Guitar"]
    )
    assert weights["Guitar"] > weights["Strings"]


class _Tags(HTMLParser):
    """Counts tags and checks that they close in order."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: dict[str, int] = {}
        self.links: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Open *tag*."""
        self.seen[tag] = self.seen.get(tag, 0) + 1
        self.links += [value for name, value in attrs if name in ("src", "href") and value]
        if tag != "meta":
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Count a tag that closes itself."""
        self.seen[tag] = self.seen.get(tag, 0) + 1

    def handle_endtag(self, tag: str) -> None:
        """Close *tag*, which must be the last one open."""
        assert self.open.pop() == tag


def test_the_page_is_whole_and_needs_nothing_else(demo: Condensed) -> None:
    """Well-formed, a section and a drawing for each of the song's, names escaped, no link to anything outside."""
    page = format_page(demo)
    tags = _Tags()
    tags.feed(page)
    assert tags.open == []
    assert tags.seen["section"] == 4
    assert tags.seen["svg"] == 4
    assert "script" not in tags.seen
    assert tags.links == []
    assert "http" not in page.replace("http://www.w3.org", "")
    assert "Lantern Street" in page


def test_every_note_is_drawn_on_the_page(demo: Condensed) -> None:
    """The marks of the band's lanes are as many as its notes, and the piano's as the part's."""
    page = format_page(demo)
    marks = {
        kind: sum(path.count("M") for path in re.findall(rf'<path class="{kind}" d="([^"]+)"', page))
        for kind in ("kept", "moved", "merged", "out", r"piano \w+")
    }
    band = sum(len(track.notes) for track in demo.sketch.form.band.tracks)
    assert sum(count for kind, count in marks.items() if not kind.startswith("piano")) == band
    assert marks[r"piano \w+"] == len(demo.part.notes)
