"""``handgroove translate``: the main job on one's own files."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from handgroove.commands import options
from handgroove.commands.writing import (
    Write,
    check_folder,
    choose_folders,
    tell,
    with_writer_options,
    write_part,
)
from handgroove.hands.ease import Ease
from handgroove.sources.readers import ReadOptions, read_source

if TYPE_CHECKING:
    from handgroove.errors import Problem
    from handgroove.groove.hits import Groove
    from handgroove.harmony.chart import Chart
    from handgroove.part import Part


@with_writer_options
def translate(
    sources: Annotated[
        list[str], typer.Argument(help="Drum MIDI files, or patterns by name or file.", show_default=False)
    ],
    chart: options.Chart = "",
    fit: Annotated[
        bool, typer.Option(help="Repeat or cut the chart where it differs from the groove, or refuse it.")
    ] = True,
    pattern: Annotated[
        str, typer.Option(help="Which hand takes which drum, and how: a pattern's name or file.")
    ] = "",
    player: options.Player = "",
    out: Annotated[
        Path | None, typer.Option(help="Folder to write to. Default: a new one named after the source.")
    ] = None,
    ease: Annotated[
        Ease | None,
        typer.Option(
            "--level",
            help="How much is played, in five steps from the backbeat alone; each has all strokes of the last. "
            "Easier, as is and harder are one step down, none, one up.",
        ),
    ] = None,
    key: options.Key = "",
    transpose: Annotated[
        int, typer.Option(help="Move chart and key by this many semitones.", min=-11, max=11)
    ] = 0,
    bars: Annotated[
        int, typer.Option(help="How many bars, where the source is a pattern.", min=0, max=999)
    ] = 0,
    tempo: options.Tempo = 0,
    kit: options.KitFile = "",
    channel: options.Channel = 10,
    track: options.Track = None,
    pickup: options.Pickup = 0,
    keep: Annotated[
        list[str] | None, typer.Option(help="Hits that must sound: 'snare ghosts', 'kick bar 12 beat 3&'.")
    ] = None,
    leave_out: Annotated[
        list[str] | None, typer.Option(help="Hits to leave out: 'hat bars 3 to 8', 'snare ghosts'.")
    ] = None,
    figures: Annotated[
        bool, typer.Option(help="Whether fills and drums alone become melody, or stay drums.")
    ] = True,
    write: Write = None,
    force: options.Force = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print the report for programs.")] = False,
    **writing: Any,
) -> None:
    """Turn grooves into a two-hand piano part.

    Writes piano.mid, report.json and fingers.svg into a folder, one for each source. What you kept of an audition is
    used unless you name a pattern. When you listen, start quietly, above all with headphones.

    Examples:

      handgroove translate take.mid --chart song.txt

      handgroove translate take.mid --chart "| Am7 | Fmaj7 | C G/B |" --player octave

      handgroove translate "bossa nova" --bars 8 --chart "| Dm9 | G13 |" --out bossa
    """
    from handgroove.desk.desk import Desk
    from handgroove.errors import HandgrooveError
    from handgroove.figures.figure_settings import DEFAULT_SETTINGS
    from handgroove.groove.know.selection import parse_selection
    from handgroove.hands.player import read_player
    from handgroove.harmony.symbols.names import parse_key
    from handgroove.patterns import read_pattern
    from handgroove.picks import Picked, use_picks

    laid = options.read_chart_option(chart, transpose)
    reading = ReadOptions(bars, tempo, kit, channel, track or [], pickup)
    named = read_pattern(pattern) if pattern else None
    make_desk = partial(
        Desk,
        chart=laid,
        player=read_player(player),
        key=parse_key(key) if key else None,
        keep=[parse_selection(text, "--keep") for text in keep or ()],
        leave_out=[parse_selection(text, "--leave-out") for text in leave_out or ()],
        figures_wanted=DEFAULT_SETTINGS if figures else None,
    )

    def play(source: str) -> Part:
        """Return the part for one *source*, by what was picked for it where nothing else is said."""
        groove, own = read_source(source, reading, laid)
        if not fit and laid:
            check_length(groove, laid)
        picked = use_picks(source)
        if named:
            picked = Picked(figures=picked.figures)
        level = ease or picked.ease or Ease.AS_IS
        desk = make_desk(
            groove, named_pattern=named or picked.pattern or own, ease=level, picks=picked.figures
        )
        part = desk.change(named_pattern=picked.voiced(desk.pattern)).part
        return replace(part, messages=(*part.messages, *picked.messages))

    extras = write or []
    problems: list[Problem] = []
    jobs = list(zip(sources, choose_folders(sources, out), strict=True))
    for source, folder in _with_progress(jobs, as_json):
        try:
            check_folder(folder, extras, force=force)
            part = play(source)
            written = write_part(part, folder, extras, writing)
        except HandgrooveError as error:
            problems.extend(error.problems)
            continue
        tell(part, written, as_json=as_json)
    if problems:
        raise HandgrooveError(problems)


def check_length(groove: Groove, chart: Chart) -> None:
    """Raise HandgrooveError where *chart* has not as many bars as *groove*."""
    from handgroove.errors import HandgrooveError, Problem
    from handgroove.output.report import count_bars

    bars, have = count_bars(groove.timeline), len(chart.bars)
    if bars != have:
        text = f"expected a chart of {bars} bars, as the groove has, got one of {have}"
        raise HandgrooveError(
            Problem(groove.source, text, remedy="mend the chart, or let --fit repeat or cut it")
        )


def _with_progress(jobs: list[tuple[str, Path]], quiet: bool) -> Iterable[tuple[str, Path]]:
    """Yield *jobs* with a progress line on a terminal, where there are several."""
    if len(jobs) < 2 or quiet or not sys.stderr.isatty():
        yield from jobs
        return
    from rich.console import Console
    from rich.progress import track

    yield from track(jobs, description="translating", console=Console(stderr=True))
