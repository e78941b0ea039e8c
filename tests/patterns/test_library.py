"""The patterns that come with Handgroove: all of them are right, and what is characteristic of each is there."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from handgroove.data import data_folder
from handgroove.groove.kit import Family, Piece
from handgroove.harmony.chart import parse_chart
from handgroove.job import translate
from handgroove.patterns import Pattern, list_patterns, read_pattern
from handgroove.patterns.pattern_model import make_schema
from handgroove.strike import Hand
from handgroove.yamlfile import load_yaml

NAMES = list_patterns()


@pytest.fixture(scope="module")
def library() -> dict[str, Pattern]:
    """Every pattern of the library, by name."""
    return {name: read_pattern(name) for name in NAMES}


def test_there_are_patterns_of_every_metre_and_feel(library: dict[str, Pattern]) -> None:
    """The library spans metres in two, three, four, five, seven, six and twelve, straight and swung."""
    assert len(NAMES) >= 20
    metres = {str(pattern.metre) for pattern in library.values()}
    assert metres >= {"2/4", "3/4", "4/4", "5/4", "7/8", "6/8", "12/8"}
    assert {pattern.feel.swing_ratio > 1 for pattern in library.values()} == {True, False}


@pytest.mark.parametrize("name", NAMES)
def test_the_groove_fills_its_bars(name: str) -> None:
    """Every groove has whole bars, something in every bar, and no piece struck twice at once."""
    pattern = read_pattern(name)
    bar = pattern.metre.bar_ticks
    assert {hit.tick // bar for hit in pattern.hits} == set(range(pattern.bars))
    struck = [(hit.tick, hit.piece) for hit in pattern.hits]
    assert len(struck) == len(set(struck))
    groove = pattern.groove(2 * pattern.bars)
    assert len(groove.hits) == 2 * len(pattern.hits)
    assert groove.timeline.end_tick == 2 * pattern.bars * bar


@pytest.mark.parametrize("name", NAMES)
def test_each_pattern_tells_what_it_is_and_how_the_hands_take_it(name: str) -> None:
    """A pattern begins with one short sentence and says something of both hands."""
    pattern = read_pattern(name)
    assert len(pattern.about.partition(". ")[0]) <= 66
    assert "Left hand" in pattern.about or "Both hands" in pattern.about
    assert pattern.assignments[0].place
    assert 40 <= pattern.tempo_bpm <= 240


@pytest.mark.parametrize("name", NAMES)
def test_the_published_schema_accepts_it(name: str) -> None:
    """The JSON Schema that editors use agrees that the file is right."""
    value = load_yaml(data_folder("patterns") / f"{name}.yaml").value
    Draft202012Validator(make_schema()).validate(value)


@pytest.mark.parametrize(
    "wrong",
    [
        {},
        {"title": "a", "tempo": 400},
        {"title": "a", "metre": "4/5"},
        {"title": "a", "groove": {"snair": "x..."}},
        {"title": "a", "groove": {"snare": "x-x-"}},
        {"title": "a", "hands": [{"take": "snair", "use": "x"}]},
        {"title": "a", "harmony": {"voicing": "loud"}},
        {"title": "a", "feel": "swung"},
        {"titel": "a"},
    ],
)
def test_the_published_schema_refuses_what_is_wrong(wrong: dict[str, Any]) -> None:
    """The JSON Schema sees misspelt names and keys, and numbers out of range."""
    Draft202012Validator.check_schema(make_schema())
    assert not Draft202012Validator(make_schema()).is_valid(wrong)


def test_most_patterns_have_a_fill_and_every_fill_lasts_its_bars(library: dict[str, Pattern]) -> None:
    """At least half have a fill; a fill is one or two whole bars and is heard."""
    assert 2 * sum(1 for pattern in library.values() if pattern.fills) >= len(library)
    for pattern in library.values():
        for fill in pattern.fills:
            assert fill.bars in (1, 2)
            assert all(0 <= hit.tick < fill.bars * pattern.metre.bar_ticks for hit in fill.hits)


@pytest.mark.parametrize("name", NAMES)
def test_every_fill_reaches_a_hand(name: str) -> None:
    """No fill is played only on pieces that the pattern leaves out."""
    pattern = read_pattern(name)
    taken = frozenset[Piece]().union(*(assignment.pieces for assignment in pattern.assignments))
    for fill in pattern.fills:
        keeps_time = (Family.KICK, Family.HAT, Family.RIDE)
        drums = [hit for hit in fill.hits if hit.piece.family not in keeps_time]
        assert drums
        assert all(hit.piece in taken for hit in drums)


def test_file_names_are_plain() -> None:
    """Names are small letters, digits and hyphens, so that they are typed easily."""
    for path in data_folder("patterns").iterdir():
        assert path.suffix == ".yaml"
        assert set(path.stem) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
        assert Path(path.name).name == path.name


# ---- what is characteristic (common practice, no source) -------------------------------------------------

BACKBEATS = {
    "straight-eighths": (960, 2880),
    "shuffle": (960, 2880),
    "disco": (960, 2880),
    "four-on-the-floor": (960, 2880),
    "sixteenth-funk": (960, 2880),
    "sixteenth-hats": (960, 2880),
    "half-time": (1920,),
    "half-time-shuffle": (1920,),
    "ballad-6-8": (1440,),
    "ballad-12-8": (1440, 4320),
}


@pytest.mark.parametrize("name", BACKBEATS)
def test_the_backbeat_is_where_it_belongs(name: str, library: dict[str, Pattern]) -> None:
    """The first bar's accented snares are exactly the style's backbeats."""
    pattern = library[name]
    bar = pattern.metre.bar_ticks
    found = [h.tick for h in pattern.hits if h.piece is Piece.SNARE and h.velocity >= 100 and h.tick < bar]
    assert tuple(found) == BACKBEATS[name]


@pytest.mark.parametrize("name", ["four-on-the-floor", "disco", "tom-groove", "train-beat", "tresillo"])
def test_the_kick_keeps_four(name: str, library: dict[str, Pattern]) -> None:
    """Where the floor has four, the kick is on every beat and nowhere else."""
    assert [h.tick for h in library[name].hits if h.piece is Piece.KICK] == list(range(0, 7680, 960))


def test_the_foot_shuts_the_hat_where_the_style_has_it(library: dict[str, Pattern]) -> None:
    """In swing the foot is on 2 and 4, in a waltz on 2 and 3, in a jazz waltz on 2."""
    for name, expected in (
        ("swing-ride", {960, 2880}),
        ("brushes-ballad", {960, 2880}),
        ("waltz", {960, 1920}),
        ("jazz-waltz", {960}),
    ):
        pattern = library[name]
        feet = {h.tick % pattern.metre.bar_ticks for h in pattern.hits if h.piece is Piece.PEDAL_HAT}
        assert feet == expected


def test_the_one_drop_leaves_the_one_empty(library: dict[str, Pattern]) -> None:
    """Kick and side stick fall together on 3, and neither is ever on 1."""
    pattern = library["one-drop"]
    kicks = {h.tick % 3840 for h in pattern.hits if h.piece is Piece.KICK}
    assert kicks == {1920}
    assert {h.tick % 3840 for h in pattern.hits if h.piece is Piece.SIDE_STICK} >= kicks


def test_swing_patterns_swing_to_the_tick(library: dict[str, Pattern]) -> None:
    """The shuffle's offbeats lie on the triplet's last: 640 ticks after the beat."""
    hats = [h.tick for h in library["shuffle"].hits if h.piece is Piece.CLOSED_HAT]
    assert {tick % 960 for tick in hats} == {0, 640}


def test_disco_opens_the_hat_on_every_offbeat(library: dict[str, Pattern]) -> None:
    """The open hat is on every & and nowhere else, and the next stroke shuts it."""
    pattern = library["disco"]
    assert [h.tick for h in pattern.hits if h.piece is Piece.OPEN_HAT] == list(range(480, 7680, 960))


def test_ghosts_are_softer_than_every_stroke_around(library: dict[str, Pattern]) -> None:
    """Funk, half-time shuffle and breakbeat have ghosts, all under a velocity of 45."""
    for name in ("sixteenth-funk", "half-time-shuffle", "breakbeat"):
        soft = [h.velocity for h in library[name].hits if h.piece is Piece.SNARE and h.velocity < 80]
        assert len(soft) >= 4
        assert max(soft) < 45


@pytest.mark.parametrize("name", NAMES)
def test_two_hands_can_play_it_fill_and_all(name: str) -> None:
    """Through the main job, each pattern with its fill gives both hands work, and no kick is lost."""
    pattern = read_pattern(name)
    rounds = 3
    fills = {pattern.bars + 1: pattern.fills[0].name} if pattern.fills else {}
    groove = pattern.groove(rounds * pattern.bars, fills=fills)
    part = translate(groove, parse_chart("| Am7 | Fmaj7 | Dm7 | G7 |"), pattern)
    length = pattern.bars * pattern.metre.bar_ticks
    for hand in Hand:
        assert {note.tick // length for note in part.hand(hand)} >= {0, 2}
    heard = {index for note in part.notes for index in note.hits}
    crashes = {hit.tick for hit in groove.hits if hit.piece is Piece.CRASH}  # their low octave covers a kick
    unheard = [h for i, h in enumerate(groove.hits) if h.piece is Piece.KICK and i not in heard]
    assert [hit.tick for hit in unheard if hit.tick not in crashes] == []
