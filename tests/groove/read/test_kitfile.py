"""Kit files for electronic kits whose note numbers differ."""

from __future__ import annotations

from pathlib import Path

import pytest

from handgroove.errors import HandgrooveError
from handgroove.groove.kit import GENERAL_MIDI, Piece
from handgroove.groove.read.kitfile import read_kit


def write(folder: Path, text: str) -> Path:
    """Write a kit file and return its path."""
    path = folder / "pads.yaml"
    path.write_text(text)
    return path


def test_notes_are_added_to_the_general_map(tmp_path: Path) -> None:
    """A kit file changes the notes that it names and leaves the others as General MIDI has them."""
    kit = read_kit(write(tmp_path, "name: Pads\nnotes:\n  20: closed hat\n  38: side stick\n"))
    assert kit.name == "Pads"
    assert kit.pieces == {**GENERAL_MIDI.pieces, 20: Piece.CLOSED_HAT, 38: Piece.SIDE_STICK}


def test_a_kit_may_stand_alone(tmp_path: Path) -> None:
    """Based on nothing, only the notes that the file names are known; the file's name is the kit's."""
    kit = read_kit(write(tmp_path, "based on: nothing\nnotes: {1: kick}\n"))
    assert kit.name == "pads"
    assert kit.pieces == {1: Piece.KICK}


def test_everything_wrong_is_told_at_once(tmp_path: Path) -> None:
    """Bad numbers, misspelt pieces and keys that are none are told together with their places."""
    path = write(tmp_path, "nme: Pads\nnotes:\n  38: snair\n  200: kick\n  rim: snare\n  40: [snare]\n")
    with pytest.raises(HandgrooveError) as caught:
        read_kit(path)
    assert str(caught.value).replace(str(path), "pads.yaml") == (
        "pads.yaml:1:1: nme: expected one of the keys name, based on, notes, got 'nme'\n"
        "    nme: Pads\n"
        "    ^\n"
        "    did you mean 'name'?\n"
        "pads.yaml:3:7: 38: expected the name of a drum or cymbal, got 'snair'\n"
        "      38: snair\n"
        "          ^\n"
        "    did you mean 'snare'?\n"
        "pads.yaml:4:3: 200: expected a MIDI note number 0 to 127 as the key, got '200'\n"
        "      200: kick\n"
        "      ^\n"
        "pads.yaml:5:3: rim: expected a MIDI note number 0 to 127 as the key, got 'rim'\n"
        "      rim: snare\n"
        "      ^\n"
        "pads.yaml:6:7: 40: expected the name of a drum or cymbal, got a list\n"
        "      40: [snare]\n"
        "          ^"
    )


def test_a_kit_without_notes_says_nothing(tmp_path: Path) -> None:
    """A kit file needs at least one note."""
    with pytest.raises(HandgrooveError, match="notes"):
        read_kit(write(tmp_path, "name: Pads\nnotes: {}\n"))
