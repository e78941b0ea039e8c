"""What is known of a groove, told in words, for programs, as a picture and as a pattern file."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from handgroove.groove.hits import Groove
from handgroove.groove.kit import Piece
from handgroove.groove.know.knowledge import know_groove
from handgroove.groove.tell.groove_words import describe, make_facts
from handgroove.groove.tell.text_picture import format_groove_picture
from handgroove.groove.tell.write_pattern import format_pattern
from handgroove.patterns import list_patterns, read_pattern
from tests.groove.know.test_knowledge import CRASH, ROCK, TOMS, play

KEYS = {"tempo_bpm", "metre", "swing_ratio", "fill_bars", "kind", "backbone_bars", "count_in", "doubts"}


def song() -> Groove:
    """Return eight bars with a fill in the fourth and a varied sixth."""
    varied = ROCK | {Piece.KICK: "X.....x.X.x...x."}
    return play(ROCK, ROCK, ROCK, TOMS, CRASH, varied, ROCK, ROCK)


def test_facts_are_json_with_the_promised_keys() -> None:
    """The facts go through JSON unchanged and have the keys that programs rely on."""
    facts = make_facts(know_groove(song()))
    assert json.loads(json.dumps(facts)) == facts
    assert set(facts) >= KEYS
    assert (facts["tempo_bpm"], facts["metre"], facts["fill_bars"], facts["kind"]) == (
        100.0,
        "4/4",
        [4],
        "beat",
    )
    assert facts["variations"] == [{"bar": 6, "of": "A", "adds": ["kick on 4&"], "leaves_out": []}]


def test_words_tell_backbone_fill_and_feel() -> None:
    """The sentences name the fill, where it lands, the backbone and the grid."""
    text = "\n".join(describe(know_groove(song())))
    assert "Fill from bar 4, beat 1, lands on" in text
    assert "crash" in text
    assert "A 7 times (1 varied)" in text
    assert "Straight" in text


def test_one_of_a_thing_is_told_as_one() -> None:
    """A groove of one hit has 1 hit, and a pickup of one beat is 1 beat."""
    lone = play({Piece.KICK: "X..............."})
    assert describe(know_groove(lone))[0].endswith(" 1 hit.")
    known = replace(know_groove(song()), pickup_ticks=960)
    assert "The drums come in 1 beat before the first full bar." in describe(known)


def test_the_beat_of_seven_eighths_is_an_eighth(tmp_path: Path) -> None:
    """Where the beat is an eighth, the grid of one step a beat is eighths, in words and for programs."""
    rows = "  hat:   XxXxXxx\n  snare: ..X..X.\n  kick:  X...x..\n"
    hands = "hands:\n  - take: hat\n    use: comping\n"
    path = tmp_path / "seven.yaml"
    path.write_text(
        f"title: Seven\nmetre: 7/8\ntempo: 140\nsteps per beat: 1\ngroove:\n{rows}{hands}", "utf-8"
    )
    known = know_groove(read_pattern(path).groove(4))
    assert "Straight; the grid is eighths." in describe(known)
    assert make_facts(known)["grid"] == "eighths"


def test_picture_is_sound_svg_with_every_hit() -> None:
    """The picture parses, has a dot for each hit, and shades the fill."""
    groove = song()
    root = ET.fromstring(format_groove_picture(know_groove(groove)))
    names = [element.tag.rpartition("}")[2] for element in root.iter()]
    assert names.count("circle") == len(groove.hits)
    assert "fill" in [element.text for element in root.iter() if element.tag.endswith("tspan")]


def _own_hits(groove: Groove) -> list[tuple[int, Piece, int]]:
    return [(hit.tick, hit.piece, hit.velocity) for hit in groove.hits]


def test_backbone_pattern_plays_back_as_the_original(tmp_path: Path) -> None:
    """The pattern written from a groove gives the same hits as the bar it was written from."""
    path = tmp_path / "rock.yaml"
    path.write_text(format_pattern(know_groove(song())))
    again = read_pattern(str(path)).groove(1)
    assert _own_hits(again) == _own_hits(play(ROCK))
    assert again.timeline.tempo_at(0) == pytest.approx(100)


@pytest.mark.parametrize("name", [str(Path(p)) for p in ("swing ride", "straight eighths", "bossa nova")])
def test_library_pattern_comes_back(name: str, tmp_path: Path) -> None:
    """A library pattern played eight times, inspected and written, plays back as itself, swing and all."""
    pattern = read_pattern(name)
    known = know_groove(pattern.groove(8 * pattern.bars))
    path = tmp_path / "again.yaml"
    path.write_text(format_pattern(known))
    again = read_pattern(str(path))
    loop = len(known.backbone.loop)
    played = again.groove(loop)
    original = pattern.groove(8 * pattern.bars)
    start = known.bars[known.backbone.loop[0]].bar.start_tick
    length = loop * pattern.metre.bar_ticks
    expected = [
        (h.tick - start, h.piece, h.velocity) for h in original.hits if start <= h.tick < start + length
    ]
    for (tick, piece, velocity), (was_tick, was_piece, was_velocity) in zip(
        _own_hits(played), expected, strict=True
    ):
        assert (piece, velocity) == (was_piece, was_velocity)
        assert abs(tick - was_tick) <= 10


def test_every_library_pattern_can_be_known() -> None:
    """No pattern of the library with a groove of its own breaks the knowing of it."""
    for pattern in list_patterns():
        groove = read_pattern(pattern if isinstance(pattern, str) else pattern.name)
        if groove.bars:
            assert describe(know_groove(groove.groove(4 * groove.bars)))
