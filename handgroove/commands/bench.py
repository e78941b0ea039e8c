"""``handgroove bench``: speed and memory, as ratios to a floor of the same run."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def bench(
    name: Annotated[
        str,
        typer.Argument(
            help="main, hands, inspect, figures, harmony, score, sound, live or soak.", show_default=False
        ),
    ],
    folder: Annotated[
        Path | None, typer.Argument(help="A folder of drum MIDI files.", show_default=False)
    ] = None,
) -> None:
    """Measure speed and memory, for those who work on the program.

    Examples:  handgroove bench main FOLDER  ·  handgroove bench harmony
    """
    from handgroove.bench import run

    run(name, folder)
