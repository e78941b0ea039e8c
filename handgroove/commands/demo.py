"""``handgroove demo``: the main job on the song that comes with the program."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def demo(
    out: Annotated[
        Path | None, typer.Option(help="Folder to write to. Default: a new one called lantern-street.")
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Write over files that are there.")] = False,
) -> None:
    """Do the main job on the demo song: a drummer's take and a chart become a piano part.

    The drummer's van has broken down, and Ines plays the set alone: her drummer's rehearsal take and the chart of
    "Lantern Street" are all she has.
    """
    from handgroove.commands.writing import check_folder, tell, write_part
    from handgroove.data import data_folder
    from handgroove.groove.read.smf import read_groove
    from handgroove.harmony.chart import read_chart
    from handgroove.job import translate

    folder = out or _new_folder("lantern-street")
    check_folder(folder, force=force)
    source = data_folder("demo")
    groove = read_groove(source / "lantern-street-drums.mid")
    part = translate(groove, read_chart(source / "lantern-street.txt"))
    tell(part, write_part(part, folder))
    print(
        f"""
Open {folder / "piano.mid"} in any MIDI player, and {folder / "fingers.svg"} in a browser.
Then try:
  handgroove translate {source / "lantern-street-drums.mid"} --chart "| Dm7 | G7 |" --pattern shuffle --player octave
  handgroove condense {source / "lantern-street-band.mid"}
  handgroove patterns list
  handgroove translate YOUR-DRUMS.mid --chart YOUR-CHART.txt"""
    )


def _new_folder(name: str) -> Path:
    """Return *name*, or the first ``name-2``, ``name-3`` ... that is not there yet."""
    folder, number = Path(name), 2
    while folder.exists():
        folder, number = Path(f"{name}-{number}"), number + 1
    return folder
