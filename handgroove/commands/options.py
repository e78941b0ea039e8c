"""Options that several commands have: one name and one meaning each."""

from __future__ import annotations

from typing import Annotated

import typer

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
