"""``handgroove players``: whose hands a part is for."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

app = typer.Typer(
    name="players",
    help="Whose hands a part is for: list, show, check a file, or print the schema.",
    no_args_is_help=True,
)


@app.command("list")
def list_all() -> None:
    """List the players that come built in: use them as --player NAME."""
    from handgroove.hands.player import read_player
    from handgroove.hands.playerfile import list_players

    for name in list_players():
        print(f"{name:20} {describe(read_player(name))}")


def describe(player: object) -> str:
    """Return a player's two hands in one line."""
    from handgroove.hands.player import Player
    from handgroove.hands.reasons import format_reach

    assert isinstance(player, Player)
    hands = []
    for title, size in (("left", player.left), ("right", player.right)):
        hands.append(f"{title}: {format_reach(size.most)}, at ease with {format_reach(size.comfortable)}")
    if player.left == player.right:
        hands = [hands[0].removeprefix("left: ")]
    return "; ".join(hands)


@app.command()
def show(name: Annotated[str, typer.Argument(help="A player's name or YAML file.")]) -> None:
    """Show a player: spans of every finger pair, speeds, and what matters most."""
    from handgroove.hands.hand_model import SPANS, scale_spans
    from handgroove.hands.player import read_player
    from handgroove.strike import Hand

    player = read_player(name)
    print(player.name)
    print(f"  {describe(player)}")
    print(f"  what matters most: {', '.join(player.order)}")
    speeds = player.speeds
    print(f"  strokes a second: one finger {speeds.finger_hz:g}, two in turn {speeds.rock_hz:g}, ", end="")
    print(f"one key {speeds.key_hz:g}, single notes {speeds.run_hz:g}")
    for hand in Hand:
        spans = scale_spans(player.size(hand))
        row = ", ".join(f"{a}-{b} {spans[a, b].max_comf}/{spans[a, b].max_prac}" for a, b in SPANS)
        print(f"  {hand} hand, semitones at ease/at most by fingers: {row}")


@app.command()
def check(files: Annotated[list[Path], typer.Argument(help="Player files.")]) -> None:
    """Check player files; tell everything that is wrong."""
    from handgroove.errors import HandgrooveError, Problem
    from handgroove.hands.player import read_player

    problems: list[Problem] = []
    for path in files:
        try:
            read_player(path)
            print(f"{path}: good")
        except HandgrooveError as error:
            problems.extend(error.problems)
    if problems:
        raise HandgrooveError(problems)


@app.command()
def schema() -> None:
    """Print the JSON Schema of player files, for editors."""
    from handgroove.hands.playerfile import player_schema

    print(json.dumps(player_schema(), indent=2, ensure_ascii=False))
