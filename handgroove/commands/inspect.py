"""``handgroove inspect``: what a groove is made of."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from handgroove.commands import options

if TYPE_CHECKING:
    from handgroove.groove.know.knowledge import Knowledge


def inspect(
    sources: Annotated[
        list[str], typer.Argument(help="Drum MIDI files, or patterns by name or file.", show_default=False)
    ],
    kit: options.KitFile = "",
    channel: options.Channel = 10,
    track: options.Track = None,
    pickup: options.Pickup = 0,
    grid: Annotated[bool, typer.Option(help="Show the backbone as a text grid.")] = True,
    picture: Annotated[Path | None, typer.Option(help="Also draw the groove into this SVG file.")] = None,
    write_pattern: Annotated[
        Path | None, typer.Option(help="Also write the backbone as this pattern file (YAML).")
    ] = None,
    force: options.Force = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print what is known for programs.")] = False,
) -> None:
    """Say what is known of a groove: its beat, feel, backbone, fills, loudness and timing.

    With several sources and --json, one JSON object a line.

    Examples:

      handgroove inspect take.mid

      handgroove inspect take.mid --write-pattern my-groove.yaml --picture take.svg
    """
    from handgroove.errors import HandgrooveError, Problem, WrongUseError
    from handgroove.output.files import check_free
    from handgroove.sources.readers import ReadOptions, know_source

    wanted = [path for path in (picture, write_pattern) if path is not None]
    if wanted and len(sources) > 1:
        raise WrongUseError(Problem("", "--picture and --write-pattern take one source, got several"))
    check_free(wanted, force=force)
    problems: list[Problem] = []
    reading = ReadOptions(None, kit_file=kit, channel=channel, tracks=track or [], pickup_beats=pickup)
    for source in sources:
        try:
            known, _ = know_source(source, reading)
            if as_json:
                _tell_json(known, several=len(sources) > 1)
            else:
                _tell(known, grid)
            _write(known, picture, write_pattern, quiet=as_json)
        except HandgrooveError as error:
            problems.extend(error.problems)
    if problems:
        raise HandgrooveError(problems)


def _tell_json(known: Knowledge, several: bool) -> None:
    import json

    from handgroove.groove.tell.groove_words import make_facts

    typer.echo(json.dumps(make_facts(known), indent=None if several else 2))


def _tell(known: Knowledge, grid: bool) -> None:
    from handgroove.groove.tell.groove_words import describe

    for line in describe(known):
        typer.echo(line)
    if grid and known.groove.hits:
        from handgroove.groove.read.text_grid import format_grid
        from handgroove.groove.tell.write_pattern import backbone_groove

        typer.echo("")
        typer.echo(format_grid(backbone_groove(known), stroke=known.levels.stroke).rstrip())
    typer.echo("")


def _write(known: Knowledge, picture: Path | None, pattern: Path | None, quiet: bool) -> None:
    from handgroove.output.files import write_whole

    written = []
    if picture is not None:
        from handgroove.groove.tell.text_picture import format_groove_picture

        written.append(write_whole(picture, format_groove_picture(known)))
    if pattern is not None:
        from handgroove.groove.tell.write_pattern import format_pattern

        written.append(write_whole(pattern, format_pattern(known, pattern.stem.replace("-", " "))))
    if written and not quiet:
        typer.echo(f"wrote {', '.join(str(path) for path in written)}")
