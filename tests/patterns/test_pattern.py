"""What a pattern is once it is read: grooves made from it, fills laid into them, and who takes what."""

from __future__ import annotations

from pathlib import Path

import pytest

from handgroove.errors import HandgrooveError
from handgroove.groove.kit import Family, Piece
from handgroove.harmony.voice.voicing_settings import Idiom, PedalMode
from handgroove.patterns import Pattern, check_pattern, read_pattern
from handgroove.strike import Hand
from handgroove.yamlfile import parse_document

PLAIN = """
title: Test
tempo: 120
steps per beat: 2
groove:
  hat:   xx xx xx xx | xx xx xx xx
  kick:  X. .. X. .. | X. .. .. X.
fills:
  down:
    steps per beat: 4
    groove:
      snare: xxxx xxxx xxxx xxxx
    lands: [crash, kick]
"""


def make(text: str) -> Pattern:
    """Make a pattern from YAML."""
    return check_pattern(parse_document(text.encode(), "test.yaml"), "test")


def ticks(pattern: Pattern, piece: Piece, bars: int, fills: dict[int, str] | None = None) -> list[int]:
    """Return when *piece* is struck in a groove of *bars* bars."""
    return [hit.tick for hit in pattern.groove(bars, fills=fills).hits if hit.piece is piece]


def test_the_plain_pattern_is_the_worked_example() -> None:
    """Straight eighths: accented beats, backbeats on 2 and 4, kicks on 1, 2&, 3 and 4&, at 112."""
    pattern = read_pattern("straight eighths")
    groove = pattern.groove(1)
    found: dict[Piece, list[tuple[int, int]]] = {}
    for hit in groove.hits:
        found.setdefault(hit.piece, []).append((hit.tick // 480, hit.velocity))
    assert pattern.tempo_bpm == 112
    assert found == {
        Piece.CLOSED_HAT: [(i, 80 if i % 2 else 112) for i in range(8)],
        Piece.SNARE: [(2, 112), (6, 112)],
        Piece.KICK: [(0, 112), (3, 80), (4, 112), (7, 80)],
    }


def test_a_groove_repeats_to_any_length() -> None:
    """Two bars of pattern make three bars of groove: the first bar comes again."""
    pattern = make(PLAIN)
    assert ticks(pattern, Piece.KICK, 3) == [0, 1920, 3840, 6720, 7680, 9600]
    assert pattern.groove().timeline.end_tick == 7680
    assert pattern.groove(3, tempo_bpm=90).timeline.tempo_at(0) == pytest.approx(90, abs=1e-3)


def test_hits_come_in_order_with_notes_of_the_general_map() -> None:
    """A groove's hits are sorted and carry the note numbers they would be written as."""
    hits = make(PLAIN).groove().hits
    assert list(hits) == sorted(hits, key=lambda hit: hit.order)
    assert {hit.note for hit in hits} == {36, 42}


def test_a_fill_takes_its_bar_and_lands() -> None:
    """In the fill's bar only the fill is heard; on the 1 after it the landing stands in for the hat."""
    pattern = make(PLAIN)
    assert ticks(pattern, Piece.SNARE, 4, {2: "down"}) == [3840 + 240 * i for i in range(16)]
    assert ticks(pattern, Piece.CRASH, 4, {2: "down"}) == [7680]
    hats = ticks(pattern, Piece.CLOSED_HAT, 4, {2: "down"})
    assert [tick for tick in hats if 3840 <= tick <= 7680] == []
    assert 8160 in hats
    assert ticks(pattern, Piece.KICK, 4, {2: "down"}).count(7680) == 1


def test_a_fill_in_the_last_bar_lands_outside() -> None:
    """A landing past the groove's end is not played."""
    assert ticks(make(PLAIN), Piece.CRASH, 2, {2: "down"}) == []


def test_a_fill_alone() -> None:
    """A fill can be had alone, as a groove of its own length."""
    groove = make(PLAIN).fill_groove("down")
    assert groove.timeline.end_tick == 3840
    assert len(groove.hits) == 16


def test_an_unknown_fill_is_told_with_a_near_miss() -> None:
    """Asking for a fill that is not there names one that is."""
    with pytest.raises(HandgrooveError, match="did you mean 'down'"):
        make(PLAIN).groove(4, fills={2: "dwon"})


def test_a_pattern_need_not_have_a_groove() -> None:
    """A pattern may only say who takes what; asking it for a groove says what to do."""
    pattern = make("title: Test\nhands: [{take: kick, use: low note}]")
    with pytest.raises(HandgrooveError, match="has no groove"):
        pattern.groove()


def test_blocks_follow_one_another() -> None:
    """A groove in several blocks is played block by block; a piece missing from one rests there."""
    pattern = make(
        "title: T\nsteps per beat: 1\ngroove:\n  - {kick: x..., snare: ..x.}\n  - {kick: '...x | x...'}\n"
    )
    assert pattern.bars == 3
    assert [(hit.tick, hit.piece) for hit in pattern.hits] == [
        (0, Piece.KICK),
        (1920, Piece.SNARE),
        (3840 + 2880, Piece.KICK),
        (7680, Piece.KICK),
    ]


def test_what_is_not_named_is_taken_as_usual() -> None:
    """Without hands, every piece has the usual translator: kick low note, snare thumb, hat and ride comping ..."""
    uses = {piece: a.use for a in make("title: T").assignments for piece in a.pieces}
    assert set(uses) == set(Piece)
    assert uses[Piece.KICK] == "low note"
    assert uses[Piece.SNARE] == "thumb reply"
    assert uses[Piece.SIDE_STICK] == uses[Piece.CLAP] == "click"
    assert {uses[p] for p in Piece if p.family in (Family.HAT, Family.RIDE)} == {"comping"}
    assert {uses[p] for p in Piece if p.family is Family.CRASH} == {"two-handed chord"}
    assert {uses[p] for p in Piece if p.family is Family.TOM} == {"tom tones"}
    assert {uses[p] for p in Piece if p.family is Family.HAND} == {"hand percussion"}


def test_a_piece_by_its_own_name_goes_before_its_family() -> None:
    """The open hat alone goes elsewhere than the hat, wherever it stands in the list; nothing goes twice."""
    pattern = make(
        "title: T\nhands:\n  - {take: hat, use: comping}\n"
        "  - {take: open hat, use: two-handed chord}\n  - {take: toms, use: nothing}\n"
    )
    pieces = [piece for a in pattern.assignments for piece in a.pieces]
    assert len(pieces) == len(set(pieces))
    assert pattern.assignments[0].pieces == {Piece.CLOSED_HAT, Piece.PEDAL_HAT}
    assert pattern.assignments[1].pieces == {Piece.OPEN_HAT}
    assert not {piece for piece in pieces if piece.family is Family.TOM}


def test_settings_reach_the_translators() -> None:
    """An assignment keeps its line and column; its settings' spaces become the model's underscores."""
    pattern = make(
        "title: T\nhands:\n  - take: hat\n    use: comping\n    hand: left\n    settings:\n      open hold: 2\n"
    )
    assignment = pattern.assignments[0]
    assert assignment.settings == {"open_hold": 2}
    assert assignment.hand is Hand.LEFT
    assert assignment.place == "test.yaml:3:5"


def test_harmony_goes_by_the_feel_unless_it_is_said() -> None:
    """Swung eighths ask for rootless chords with colour; what the file says goes before."""
    swung = "title: T\ntempo: 140\nfeel: {swing: 2}\nsteps per beat: 2\n"
    assert make(swung).harmony.idiom is Idiom.ROOTLESS
    said = make(swung + "harmony: {voicing: triads, colour: false, pedal: off}\n").harmony
    assert (said.idiom, said.colour, said.pedal) == (Idiom.TRIADS, False, PedalMode.OFF)


def test_a_players_own_file_works_where_a_name_does(tmp_path: Path) -> None:
    """A path to a YAML file is read like a pattern of the library, and is called by its file's name."""
    path = tmp_path / "my groove.yaml"
    path.write_text(PLAIN)
    assert read_pattern(path).name == read_pattern(str(path)).name == "my groove"


@pytest.mark.parametrize("name", ["bossa nova", "Bossa-Nova", "bossa_nova", " bossa-nova "])
def test_names_are_forgiving(name: str) -> None:
    """Capitals, spaces and underscores don't matter in a pattern's name."""
    assert read_pattern(name).name == "bossa-nova"


def test_an_unknown_name_gets_a_suggestion() -> None:
    """A misspelt name is answered with the nearest one."""
    with pytest.raises(HandgrooveError, match="did you mean 'bossa-nova'"):
        read_pattern("bosa nova")
    with pytest.raises(HandgrooveError, match="no such file"):
        read_pattern("nowhere/mine.yaml")
