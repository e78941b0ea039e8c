"""``handgroove ports``: the MIDI ports of this machine, and how to make one."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

_HELP = {
    "linux": """\
Making a port on Linux
  Handgroove makes ports of its own: with `--drums virtual` others see "Handgroove drums", and the piano goes out as
  "Handgroove piano" unless you name a port with --out.
  ALSA   `sudo modprobe snd-seq` loads the sequencer; `aconnect -l` lists ports, `aconnect FROM TO` connects two.
  JACK   where there is no sequencer: start a server, then say `--system jack`. `jack_lsp` lists ports,
         `jack_connect FROM TO` connects two.""",
    "darwin": """\
Making a port on macOS
  Handgroove makes ports of its own: your programs see "Handgroove drums" and "Handgroove piano".
  For a port that stays: open Audio MIDI Setup, Window > Show MIDI Studio, open the IAC Driver, and tick
  "Device is online". Each bus under "Ports" is a port for every program.""",
    "win32": """\
Making a port on Windows
  Windows' own MIDI has no virtual ports, so name ports that are there: `--out "part of its name"`.
  To send notes to another program, install a loopback MIDI driver (newer versions of Windows bring one with Windows
  MIDI Services), make a port in it, and choose that port here and in the other program.""",
}


def ports(
    system: Annotated[
        str, typer.Option(help="The MIDI system: alsa, jack, core or windows. Default: the machine's own.")
    ] = "",
    everywhere: Annotated[
        bool, typer.Option("--all-systems", help="Show the help for every system.")
    ] = False,
) -> None:
    """List the MIDI ports, and tell how to make a virtual one on this system.

    Name a port by any part of its name: handgroove live --drums "pad kit" --out synth
    """
    from handgroove.live.shell.midi_ports import PortError, open_system

    trouble = None
    try:
        midi = open_system(system)
        listed = {"Receive from (--drums, --keys, --clock, --controls-in)": midi.inputs()}
        listed["Send to (--out, --clock-out, --click)"] = midi.outputs()
        for title, names in listed.items():
            typer.echo(title)
            for name in names:
                typer.echo(f"  {name}")
            if not names:
                typer.echo("  none")
            typer.echo()
    except PortError as error:
        trouble = error
    platform = "linux" if sys.platform not in _HELP else sys.platform
    chosen = list(_HELP) if everywhere else [platform]
    typer.echo("\n\n".join(_HELP[name] for name in chosen))
    if trouble is not None:
        raise trouble
