"""The desk: one thing changed is the same as all done anew, and only what follows from it is."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from handgroove.desk.desk import STRAY, Desk
from handgroove.groove.hits import Hit
from handgroove.groove.kit import Piece
from handgroove.groove.know.selection import parse_selection
from handgroove.hands.ease import Ease
from handgroove.hands.player import read_player
from handgroove.harmony.chart import parse_chart
from handgroove.harmony.symbols.names import parse_key
from handgroove.part import Change
from handgroove.patterns import read_pattern

GROOVE = read_pattern("sixteenth funk").groove(8, fills={4: "", 8: ""})
CHART = parse_chart("| Am7 | D9 | Gmaj7 | % | drums | drums | Em7 A7 | Dmaj7 |")
CHANGES: dict[str, Any] = {
    "ease": Ease.EASIER,
    "player": read_player("octave"),
    "named_pattern": read_pattern("disco"),
    "key": parse_key("D"),
    "keep": (parse_selection("snare ghosts"),),
    "leave_out": (parse_selection("hat bars 2 to 3"),),
    "picks": {"bar 8": 2},
    "figures_wanted": None,
    "chart": parse_chart("| C | F | G | C |"),
    "groove": read_pattern("disco").groove(8),
}
UNTOUCHED = {  # what must not be found again when one thing changes
    "ease": ("known", "harmony", "chords", "figures", "struck"),
    "player": ("known", "harmony", "chords", "figures", "struck", "asked"),
    "named_pattern": ("known", "harmony"),
    "key": ("known", "pattern"),
    "keep": ("known", "harmony", "chords", "figures", "struck", "asked"),
    "leave_out": ("known", "harmony", "chords", "figures", "struck", "asked"),
    "picks": ("known", "harmony", "chords"),
    "figures_wanted": ("known", "harmony", "chords"),
    "chart": (),
    "groove": (),
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_is_as_if_all_had_been_done_anew(name: str) -> None:
    """The part after a change is the part of a fresh desk, note by note, and the first desk is as it was."""
    desk = Desk(GROOVE, CHART)
    before = desk.part
    changed = desk.change(**{name: CHANGES[name]}).part
    assert changed == Desk(**{"groove": GROOVE, "chart": CHART, name: CHANGES[name]}).part
    assert desk.part is before


@pytest.mark.parametrize("name", CHANGES)
def test_only_what_follows_is_found_again(name: str) -> None:
    """Stages that a change does not touch are the very same values."""
    desk = Desk(GROOVE, CHART)
    assert desk.part
    changed = desk.change(**{name: CHANGES[name]})
    assert changed.part
    for stage in UNTOUCHED[name]:
        assert getattr(changed, stage) is getattr(desk, stage), stage


def test_no_change_changes_nothing() -> None:
    """A change to what already is gives the part that is there."""
    desk = Desk(GROOVE, CHART)
    assert desk.part is desk.change(ease=Ease.AS_IS, chart=CHART).part


def test_what_no_hand_is_asked_cannot_be_kept_and_says_why_in_its_place() -> None:
    """A hit that a figure takes the hand from is refused in its own place, by its own name, for that reason."""
    desk = Desk(GROOVE, CHART, keep=(parse_selection("hat bars 5 to 6"),))
    left_out = [o for o in desk.figures.omissions if o.tick // 3840 + 1 in (5, 6) and "hat" in o.subject]
    refused = [o for o in desk.part.omissions if o.change is Change.REFUSED]
    wanted = [(o.tick, o.subject, o.hits, f"you asked to keep it, but {o.reason}") for o in left_out]
    assert wanted
    assert set(wanted) <= {(o.tick, o.subject, o.hits, o.reason) for o in refused}


def test_a_stroke_that_leads_into_no_bar_is_left_out_with_a_line() -> None:
    """A lone hat a hair before the end of the take is the next bar's: no note of a moment, but a line that says so."""
    groove = read_pattern("straight eighths").groove(4)
    end = groove.timeline.end_tick
    part = Desk(replace(groove, hits=(*groove.hits, Hit(end - 30, Piece.CLOSED_HAT, 70)))).part
    stray = len(groove.hits)
    assert not any(stray in note.hits for note in part.notes)
    assert [line.reason for line in part.omissions if stray in line.hits] == [STRAY]
