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
    """The library spans metres in two, three, four, five, six, seven and twelve, straight and swung."""
    metres = {str(pattern.metre) for pattern in library.values()}
    assert metres >= {"2/4", "3/4", "4/4", "5/4", "6/4", "7/8", "6/8", "12/8"}
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


def test_every_fill_lasts_its_bars(library: dict[str, Pattern]) -> None:
    """A fill is one or two whole bars and is heard."""
    for pattern in library.values():
        for fill in pattern.fills:
            assert fill.bars in (1, 2)
            assert all(0 <= hit.tick < fill.bars * pattern.metre.bar_ticks for hit in fill.hits)


@pytest.mark.parametrize("name", NAMES)
def test_every_fill_reaches_a_hand(name: str) -> None:
    """Nothing that a fill adds to the groove is on pieces that the pattern leaves out."""
    pattern = read_pattern(name)
    taken = frozenset[Piece]().union(*(assignment.pieces for assignment in pattern.assignments))
    going_on = {(hit.tick % pattern.metre.bar_ticks, hit.piece) for hit in pattern.hits}
    for fill in pattern.fills:
        keeps_time = (Family.KICK, Family.HAT, Family.RIDE)
        drums = [hit for hit in fill.hits if hit.piece.family not in keeps_time]
        assert any(hit.piece in taken for hit in drums)
        assert all(hit.piece in taken or (hit.tick, hit.piece) in going_on for hit in drums)


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
    """Through the main job, each pattern with its first fill gives both hands work, and no kick is lost."""
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


# ---- rows that say the style (common practice, no source) ------------------------------------------------


def steps_of(pattern: Pattern, piece: Piece, step_ticks: int) -> list[list[int]]:
    """Return the steps, bar by bar, on which *piece* is struck."""
    bar = pattern.metre.bar_ticks
    return [
        [
            (h.tick - start) // step_ticks
            for h in pattern.hits
            if h.piece is piece and start <= h.tick < start + bar
        ]
        for start in range(0, pattern.bars * bar, bar)
    ]


def test_mambo_and_songo_agree_with_two_three_clave(library: dict[str, Pattern]) -> None:
    """The side stick has 2, 3 and 1, 2&, 4; the kick is on 2& and 4 in every bar, never on 1."""
    assert steps_of(library["mambo"], Piece.SIDE_STICK, 480) == [[2, 4], [0, 3, 6]]
    for name in ("mambo", "songo"):
        assert steps_of(library[name], Piece.KICK, 480) == [[3, 6], [3, 6]]


def test_baiao_is_three_three_two_under_an_open_triangle(library: dict[str, Pattern]) -> None:
    """The low head has 1 and 1a and the stick 2& in each bar; the triangle is open on every & and nowhere else."""
    pattern = library["baiao"]
    assert steps_of(pattern, Piece.KICK, 240) == [[0, 3], [0, 3]]
    assert all(6 in bar for bar in steps_of(pattern, Piece.SIDE_STICK, 240))
    assert steps_of(pattern, Piece.OPEN_TRIANGLE, 240) == [[2, 6], [2, 6]]


def test_the_big_drums_of_maracatu_lean_off_the_beat(library: dict[str, Pattern]) -> None:
    """Of each pair of big drum strokes the second, a sixteenth after the beat, is the louder."""
    kicks = {h.tick: h.velocity for h in library["maracatu"].hits if h.piece is Piece.KICK}
    pairs = [tick for tick in kicks if tick + 240 in kicks]
    assert len(pairs) == 5
    assert all(tick % 960 == 0 and kicks[tick] < kicks[tick + 240] for tick in pairs)


def test_steppers_have_four_on_the_floor_and_the_snare_on_three(library: dict[str, Pattern]) -> None:
    """The kick is on every beat and the loud snare on 3 alone."""
    pattern = library["steppers"]
    assert steps_of(pattern, Piece.KICK, 960) == [[0, 1, 2, 3]] * 2
    assert [h.tick for h in pattern.hits if h.piece is Piece.SNARE and h.velocity >= 100] == [1920, 5760]


def test_a_shout_has_the_snare_on_the_offbeats(library: dict[str, Pattern]) -> None:
    """In gospel's shout the kick has the beats and the loud snare every offbeat."""
    pattern = library["gospel-shout"]
    assert steps_of(pattern, Piece.KICK, 480) == [[0, 2, 4, 6]] * 2
    loud = [h.tick for h in pattern.hits if h.piece is Piece.SNARE and h.velocity >= 100]
    assert loud == list(range(480, 7680, 960))
