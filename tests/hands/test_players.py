"""Players: built in, and from files."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from handgroove.errors import HandgrooveError
from handgroove.hands.player import HandSize, Player, read_player
from handgroove.hands.playerfile import list_players, player_schema
from handgroove.strike import Role


def write(folder: Path, text: str) -> Path:
    """Write a player file."""
    path = folder / "me.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def problems(path: Path | str) -> list[str]:
    """Return what's wrong with a player."""
    with pytest.raises(HandgrooveError) as caught:
        read_player(path)
    return [str(problem) for problem in caught.value.problems]


def test_nobody_said() -> None:
    """Without a name there's the default player."""
    assert read_player() == Player()


@pytest.mark.parametrize("name", list_players())
def test_built_in_players(name: str) -> None:
    """Every built-in player can be read, and at ease with less than the most."""
    player = read_player(name)
    assert player.left.comfortable < player.left.most


def test_name_with_an_article() -> None:
    """Players are found as people say them."""
    assert read_player("a tenth").right.most == 16


def test_unknown_name() -> None:
    """A near miss is helped."""
    assert problems("tent") == [
        "expected a player's name or a YAML file, got 'tent'\n    did you mean 'tenth'?"
    ]


def test_whole_file(tmp_path: Path) -> None:
    """A file says each hand's reach in words or millimetres, the order, crossing and speeds."""
    text = """
name: Ida
left: tenth with comfort
right: {span mm: 201}
order: [snare, kick]
hands may cross: yes
speeds: {finger: 5}
"""
    player = read_player(write(tmp_path, text))
    assert (player.name, player.left, player.right) == ("Ida", HandSize(18, 16), HandSize(14, 12))
    assert player.order[:3] == (Role.SNARE, Role.KICK, Role.MELODY)
    assert set(player.order) == set(Role)
    assert player.may_cross
    assert player.speeds.finger_hz == 5


def test_one_hand_told(tmp_path: Path) -> None:
    """One hand not told is like the other; the name is the file's."""
    player = read_player(write(tmp_path, "left: octave\n"))
    assert player.left == player.right == HandSize(12, 10)
    assert player.name == "me"


def test_all_that_is_wrong(tmp_path: Path) -> None:
    """All problems are told at once, with their places."""
    found = problems(write(tmp_path, "left: tent\nrigth: ninth\norder: [kick, drum]\n"))
    assert len(found) == 3
    assert "me.yaml:1:7: left: expected seventh, octave" in found[0]
    assert "did you mean 'right'?" in found[1]
    assert "me.yaml:3:15: order, item 2: expected melody, kick" in found[2]


@pytest.mark.parametrize(
    "text", ["hands: ninth\nleft: tenth\n", "order: [kick, kick]\n", "left: {reach: ninth, span mm: 200}\n"]
)
def test_contradictions(tmp_path: Path, text: str) -> None:
    """What contradicts itself is refused."""
    assert len(problems(write(tmp_path, text))) == 1


def test_schema() -> None:
    """The schema is JSON and names the keys as they're written in files."""
    schema = json.loads(json.dumps(player_schema()))
    assert set(schema["properties"]) == {
        "name",
        "hands",
        "left",
        "right",
        "order",
        "hands may cross",
        "speeds",
    }
