"""``handgroove patterns``: the pattern library, and checking one's own pattern files."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from rich.console import Console

    from handgroove.groove.hits import Groove
    from handgroove.patterns import Assignment, Pattern

app = typer.Typer(
    name="patterns",
    help="List, show and check patterns: which hand takes which drum, and grooves to play at once.",
    no_args_is_help=True,
)


def complete_pattern(start: str) -> list[str]:
    """Return the library's names that begin with *start*, for the shell's completion."""
    from handgroove.patterns import list_patterns

    return [name for name in list_patterns() if name.startswith(start)]


_Name = Annotated[
    str,
    typer.Argument(
        help="A pattern's name, or your own YAML file.", autocompletion=complete_pattern, show_default=False
    ),
]
_Json = Annotated[bool, typer.Option("--json", help="Print for programs.")]


@app.command("list")
def list_library(as_json: _Json = False) -> None:
    """List the patterns that come with Handgroove.

    Example:  handgroove patterns list
    """
    from handgroove.patterns import read_patterns

    patterns = list(read_patterns())
    if as_json:
        print(json.dumps([_summary(pattern) for pattern in patterns], indent=1, ensure_ascii=False))
        return
    from rich.console import Console
    from rich.table import Table

    table = Table(box=None, pad_edge=False, header_style="dim")
    for title in ("name", "metre", "tempo", "feel", "about"):
        right = title in ("metre", "tempo")
        table.add_column(title, no_wrap=title != "about", justify="right" if right else "left")
    for pattern in patterns:
        feel = "straight" if pattern.feel.swing_ratio == 1 else "swung"
        first_sentence = pattern.about.partition(". ")[0]
        table.add_row(pattern.name, str(pattern.metre), str(pattern.tempo_bpm), feel, first_sentence)
    Console(highlight=False).print(table)


@app.command()
def show(
    name: _Name,
    as_file: Annotated[
        bool, typer.Option("--file", help="Print the pattern's YAML, to begin one of your own from.")
    ] = False,
    as_json: _Json = False,
) -> None:
    """Show one pattern: its groove and fills as text, how it reads as drums and at the piano, and who takes what.

    Examples:  handgroove patterns show "bossa nova"  ·  handgroove patterns show shuffle --file > mine.yaml
    """
    from handgroove.patterns import find_pattern, read_pattern

    pattern = read_pattern(name)
    if as_file:
        typer.echo(find_pattern(name).read_text(encoding="utf-8"), nl=False)
    elif as_json:
        print(json.dumps(_summary(pattern), indent=1, ensure_ascii=False))
    else:
        _print(pattern)


@app.command()
def check(
    files: Annotated[list[str], typer.Argument(help="Pattern files, or names.", show_default=False)],
) -> None:
    """Check pattern files: every problem at once, with its line and what would be right.

    Example:  handgroove patterns check mine.yaml
    """
    from handgroove.errors import HandgrooveError
    from handgroove.host.registry import find_translator
    from handgroove.patterns import read_pattern

    wrong = False
    for file in files:
        try:
            pattern = read_pattern(file)
            for assignment in pattern.assignments:
                find_translator(assignment.use, assignment.place)
        except HandgrooveError as error:
            print(error, file=sys.stderr)
            wrong = True
        else:
            fills = f", {_count(len(pattern.fills), 'fill')}" if pattern.fills else ""
            groove = (
                f"{_count(pattern.bars, 'bar')} of {pattern.metre}{fills}"
                if pattern.bars
                else "no groove of its own"
            )
            print(f"{file}: right ({groove})")
    if wrong:
        raise typer.Exit(1)


@app.command()
def schema() -> None:
    """Print the JSON Schema of pattern files, for editors that check and complete YAML.

    Example:  handgroove patterns schema > pattern.schema.json
    """
    from handgroove.patterns.pattern_model import make_schema

    print(json.dumps(make_schema(), indent=1, ensure_ascii=False))


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _feel(pattern: Pattern) -> str:
    if pattern.feel.swing_ratio == 1:
        return "straight"
    unit = "eighths" if pattern.feel.swing_unit_ticks == 480 else "sixteenths"
    return f"{unit} swing {pattern.feel.swing_ratio:g}:1"


def _summary(pattern: Pattern) -> dict[str, object]:
    return {
        "name": pattern.name,
        "title": pattern.title,
        "about": pattern.about,
        "as_drums": pattern.as_drums,
        "at_the_piano": pattern.at_the_piano,
        "metre": str(pattern.metre),
        "tempo_bpm": pattern.tempo_bpm,
        "feel": _feel(pattern),
        "bars": pattern.bars,
        "fills": [fill.name for fill in pattern.fills],
        "hands": [
            {"take": _takes(item), "use": item.use, "hand": item.hand, "settings": dict(item.settings)}
            for item in pattern.assignments
        ],
    }


def _takes(item: Assignment) -> list[str]:
    """Return what *item* takes, a whole family by its name."""
    from handgroove.groove.kit import Family
    from handgroove.patterns.pattern_model import family_name

    names: list[str] = []
    for family in Family:
        pieces = [piece for piece in sorted(item.pieces) if piece.family is family]
        of_family = sum(1 for piece in type(pieces[0]) if piece.family is family) if pieces else 0
        names += (
            [family_name(family)]
            if len(pieces) > 1 and len(pieces) == of_family
            else [p.value for p in pieces]
        )
    return names


# ---- for eyes --------------------------------------------------------------------------------------------


def _print(pattern: Pattern) -> None:
    from rich.console import Console
    from rich.padding import Padding
    from rich.table import Table

    from handgroove.timeline import TICKS_PER_QUARTER

    console = Console(highlight=False)
    # The beat is another note.
    quarters = "" if pattern.metre.beat_ticks == TICKS_PER_QUARTER else "quarters "
    tempo = f"{pattern.tempo_bpm} {quarters}to the minute"
    console.print(f"[bold]{pattern.title}[/bold]  {pattern.metre}, {tempo}, {_feel(pattern)}")
    if pattern.about:
        console.print(Padding(pattern.about, (0, 0, 1, 0)))
    if pattern.bars:
        _print_grid(console, pattern.groove(), pattern.steps_per_beat)
    for fill in pattern.fills:
        about = f": {fill.about}" if fill.about else ""
        lands = f", landing on {' and '.join(fill.lands)}" if fill.lands else ""
        console.print(f"\nfill [bold]{fill.name}[/bold]{about}{lands}")
        _print_grid(console, pattern.fill_groove(fill.name), fill.steps_per_beat)
    console.print()
    for reading, text in (("as drums", pattern.as_drums), ("at the piano", pattern.at_the_piano)):
        if text:
            console.print(Padding(f"[dim]{reading}, our own reading:[/dim] {text}", (0, 0, 1, 0)))
    table = Table(box=None, pad_edge=False, header_style="dim")
    for title in ("takes", "uses", "hand", "settings"):
        table.add_column(title)
    for item in pattern.assignments:
        settings = ", ".join(f"{key.replace('_', ' ')}: {value}" for key, value in item.settings.items())
        table.add_row(", ".join(_takes(item)), item.use, item.hand or "", settings)
    console.print(table)


def _print_grid(console: Console, groove: Groove, steps_per_beat: int) -> None:
    """Print a groove's rows, the count of the beats over each block of bars."""
    from handgroove.groove.read.steps import Grid
    from handgroove.groove.read.text_grid import format_blocks, format_count

    grid = Grid(groove.timeline.metre_at(0), steps_per_beat, groove.feel)
    for _, rows in format_blocks(groove, steps_per_beat=steps_per_beat):
        indent = len(rows[0]) - len(rows[0].partition(":")[2].lstrip())
        console.print(" " * indent + format_count(grid, 1 + rows[0].count("|")), style="dim")
        for row in rows:
            console.print(row, markup=False, soft_wrap=True)
