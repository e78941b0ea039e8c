"""Options that several commands have: one name and one meaning each."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from handgroove.harmony.chart import Chart as ReadChart

Chart = Annotated[
    str, typer.Option(help="The chords: a chart file, or the bars themselves: '| Am7 | F G7 |'.")
]
Key = Annotated[str, typer.Option(help="The key, where no chart says it: C, F#m, Bb.")]
Player = Annotated[str, typer.Option(help="Whose hands: octave, ninth, tenth, or a player file.")]
KitFile = Annotated[str, typer.Option(help="A kit file, where your drum numbers are not General MIDI's.")]
Channel = Annotated[int, typer.Option(help="The MIDI channel of the drums; 0 = any.", min=0, max=16)]
Track = Annotated[list[str] | None, typer.Option(help="A track to read drums from, by name or number.")]
Pickup = Annotated[float, typer.Option(help="Length of an incomplete first bar, in quarter notes.", min=0)]
Tempo = Annotated[float, typer.Option(help="Another tempo, quarter notes a minute.", min=0, max=400)]
Force = Annotated[bool, typer.Option("--force", help="Write over files that are there.")]


def read_chart_option(chart: str, transpose: int = 0) -> ReadChart | None:
    """Return the chart that an option gives, as bars or as a file, moved by *transpose* semitones; None without one."""
    from handgroove.harmony.chart import parse_chart, read_chart, transpose_chart

    if not chart:
        return None
    read = parse_chart(chart, "--chart") if "|" in chart else read_chart(chart)
    return transpose_chart(read, transpose) if transpose else read
