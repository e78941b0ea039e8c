"""``handgroove audition``: hear several readings of the same bars against each other, and keep one."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from handgroove.commands import options
from handgroove.hands.ease import Ease


class Voicing(StrEnum):
    """The voicings that can be tried."""

    TRIADS = "triads"
    OPEN_FIFTHS = "open fifths"
    SHELLS = "shells"
    ROOTLESS = "rootless"
    QUARTAL = "quartal"


def audition(
    source: Annotated[str, typer.Argument(help="A drum MIDI file, or a pattern.", show_default=False)],
    chart: options.Chart = "",
    pattern: Annotated[str, typer.Option(help="The pattern of the first reading.")] = "",
    player: options.Player = "",
    key: options.Key = "",
    tempo: options.Tempo = 0,
    kit: options.KitFile = "",
    channel: options.Channel = 10,
    track: options.Track = None,
    bars: Annotated[str, typer.Option(help="Which bars to hear: 5-12. Default: the first eight.")] = "",
    try_level: Annotated[
        list[Ease] | None,
        typer.Option(help="A level to try: easier, harder, or backbeat to full. Default: the first two."),
    ] = None,
    try_pattern: Annotated[
        list[str] | None, typer.Option(help="Another pattern's hands to try. Default: two that fit.")
    ] = None,
    try_voicing: Annotated[
        list[Voicing] | None, typer.Option(help="Another voicing of the chords to try. Default: two.")
    ] = None,
    try_figure: Annotated[
        list[str] | None,
        typer.Option(help="A figure to try: 12:2 is the second candidate in bar 12. Default: the first's."),
    ] = None,
    soundfont: Annotated[
        Path | None, typer.Option(help="A SoundFont (SF2, SF3) of your own in place of our piano.")
    ] = None,
    pick: Annotated[int, typer.Option(help="Keep the reading of this number.", min=0, max=9)] = 0,
    out: Annotated[
        Path | None, typer.Option(help="Folder. Default: one named after the source, with -audition.")
    ] = None,
    force: options.Force = False,
) -> None:
    """Hear several readings of the same bars, compared by number, and keep the one you like.

    Writes a recording of each and audition.html: open it in a browser, and the keys 1 to 9 change the reading at once
    at the same place. Each reading differs from the first in one thing.

    Mind your hearing: start quietly, above all with headphones.

    Examples:

      handgroove audition take.mid --chart song.txt

      handgroove audition take.mid --bars 5-12 --try-voicing rootless --try-voicing quartal

      handgroove audition take.mid --pick 2
    """
    folder = out or Path(f"{Path(source).stem.replace(' ', '-')}-audition")
    if pick:
        from handgroove.audition.write import keep_reading

        name, picks = keep_reading(pick, folder, source)
        print(f"kept reading {pick}, {name}: {picks}")
        return
    from handgroove.audition.readings import make_readings
    from handgroove.audition.ways import WhatToTry
    from handgroove.audition.write import file_names, find_span, write_audition
    from handgroove.desk.desk import Desk
    from handgroove.hands.player import read_player
    from handgroove.harmony.symbols.names import parse_key
    from handgroove.harmony.voice.voicing_settings import Idiom
    from handgroove.output.files import check_free
    from handgroove.patterns import read_pattern
    from handgroove.picks import Picked, use_picks
    from handgroove.sources.readers import ReadOptions, read_source

    read_hands, laid = read_player(player), options.read_chart_option(chart)
    reading = ReadOptions(tempo_bpm=tempo, kit_file=kit, channel=channel, tracks=track or [])
    groove, own = read_source(source, reading, laid)
    base = read_pattern(pattern) if pattern else own
    desk = Desk(groove, laid, base, read_hands, parse_key(key) if key else None)
    span = find_span(desk.reading.groove.timeline, bars)
    voicings = [Idiom(voicing.value) for voicing in try_voicing] if try_voicing else None
    figures = [_read_figure(text) for text in try_figure] if try_figure else None
    kept = use_picks(source)
    if pattern:  # a pattern that is named now wins over a reading that was kept
        kept = Picked(figures=kept.figures)
    elif kept.pattern:
        desk = desk.change(named_pattern=None)
    readings = make_readings(
        desk, WhatToTry(try_level or None, try_pattern or None, voicings, figures), span, kept
    )
    check_free([folder / name for name in file_names(len(readings.readings))], force=force)
    for path in write_audition(
        readings, groove, read_hands, span, folder, source=source, soundfont=soundfont
    ):
        written = path
    for message in readings.messages:
        print(message)
    print(f"{len(readings.readings)} readings; open {written} in a browser, and keep one with --pick")


def _read_figure(text: str) -> tuple[int, int]:
    """Return the bar and the candidate that ``12:2`` names."""
    from handgroove.errors import Problem, WrongUseError

    bar, _, number = text.partition(":")
    if not (bar.isdigit() and number.isdigit()):
        raise WrongUseError(Problem("--try-figure", f"expected BAR:NUMBER, as in 12:2, got {text!r}"))
    return int(bar), int(number)
