"""``handgroove live``: playing on stage."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

PORT_HELP = "port name or part of it, or 'virtual'"


class HandChoice(StrEnum):
    """Which hands are played."""

    BOTH = "both"
    LEFT = "left"
    RIGHT = "right"


class ChangesAt(StrEnum):
    """When changes are taken."""

    NOW = "now"
    BEAT = "beat"
    BAR = "bar"


def live(
    patterns: Annotated[
        list[str] | None, typer.Argument(help="Patterns by name or file; the first is on at the start.")
    ] = None,
    drums: Annotated[str, typer.Option(help=f"Hits come in here: {PORT_HELP}.")] = "",
    keys: Annotated[str, typer.Option(help=f"Your chords come in here: {PORT_HELP}.")] = "",
    clock: Annotated[str, typer.Option(help=f"Follow the MIDI clock that comes in here: {PORT_HELP}.")] = "",
    controls_in: Annotated[str, typer.Option(help=f"Pedals, knobs and pads that only control: {PORT_HELP}.")] = "",
    out: Annotated[str, typer.Option(help=f"The piano goes out here: {PORT_HELP}. Default: virtual.")] = "",
    clock_out: Annotated[str, typer.Option(help=f"Send MIDI clock: {PORT_HELP}.")] = "",
    click: Annotated[str, typer.Option(help=f"The count-in's click goes out here: {PORT_HELP}.")] = "",
    groove: Annotated[str, typer.Option(help="Play the drums of this MIDI file, once.")] = "",
    chart: Annotated[str, typer.Option(help="The chords: a chart file, or the bars: '| Am7 | F G7 |'.")] = "",
    player: Annotated[str, typer.Option(help="Whose hands: octave, ninth, tenth, or a player file.")] = "",
    hands: Annotated[HandChoice, typer.Option(help="Which hands Handgroove plays.")] = HandChoice.BOTH,
    tempo: Annotated[float, typer.Option(help="Quarter notes a minute. Default: the pattern's.", min=0, max=400)] = 0,
    count_in: Annotated[int, typer.Option(help="Bars of count-in.", min=0, max=8)] = 0,
    wait: Annotated[bool, typer.Option("--wait", help="Start when told to (key s, a control, or clock in).")] = False,
    play: Annotated[bool | None, typer.Option(help="Play the pattern's own groove. Default: without --drums.")] = None,
    changes: Annotated[ChangesAt, typer.Option(help="When changes are taken.")] = ChangesAt.BAR,
    level: Annotated[int, typer.Option(help="Loudness in per cent.", min=10, max=150)] = 100,
    transpose: Annotated[int, typer.Option(help="Semitones up or down.", min=-11, max=11)] = 0,
    channel: Annotated[int, typer.Option(help="The piano's MIDI channel.", min=1, max=16)] = 1,
    drum_channel: Annotated[int, typer.Option(help="Take hits on this channel only; 0 = any.", min=0, max=16)] = 0,
    kit: Annotated[str, typer.Option(help="A kit file, where your drum numbers are not General MIDI's.")] = "",
    thru: Annotated[bool, typer.Option("--thru", help="Send on what you play on the keys.")] = False,
    pass_other: Annotated[
        bool, typer.Option("--pass-other", help="Send on sysex and other messages that are neither note nor control.")
    ] = False,
    controls: Annotated[str, typer.Option(help="A YAML file of pedals, keys and knobs and what they do.")] = "",
    learn: Annotated[
        Path | None, typer.Option(help="Press each control when asked, write this controls file, and end.")
    ] = None,
    record: Annotated[str, typer.Option(help="Keep every take, input and output, in this folder.")] = "",
    sound: Annotated[bool, typer.Option("--sound", help="Hear the piano through this machine.")] = False,
    screen: Annotated[bool, typer.Option(help="Show the big screen.")] = True,
    system: Annotated[str, typer.Option(help="The MIDI system: alsa, jack, core or windows.")] = "",
) -> None:
    """Play live: drums in, piano out, at once.

    Keys while it plays: space ends all notes, s starts, x stops, t taps the tempo, f plays a fill, n and p change the
    pattern, c goes to the next section of the chart, h changes hands, + and - the level, < and > transpose, q ends.

    Examples:

      handgroove live "straight eighths" --chart "| Am7 | Fmaj7 |" --sound

      handgroove live --drums "pad kit" --keys stage --out synth

      handgroove live bossa-nova --clock sequencer --record takes
    """
    from handgroove.live.session import check_session, run_session
    from handgroove.live.stage import Sink, Source

    ends: dict[Source | Sink, str] = {
        Source.DRUMS: drums,
        Source.KEYS: keys,
        Source.CLOCK: clock,
        Source.CONTROLS: controls_in,
        Sink.PIANO: out or ("" if sound else "virtual"),
        Sink.CLOCK: clock_out,
        Sink.CLICK: click,
    }
    if learn is not None:
        from handgroove.live.learn import learn_controls

        learn_controls(learn, {end: name for end, name in ends.items() if isinstance(end, Source) and name}, system)
        return
    session = _session(
        tuple(patterns or ["straight eighths"]),
        ends,
        _Choices(groove, chart, player, hands, tempo, count_in, changes, level, transpose, channel, drum_channel, kit),
        waits=wait,
        plays=bool(groove) or (not drums if play is None else play),
        thru=thru,
        pass_other=pass_other,
        controls=controls,
        record=record,
        sound=sound,
        screen=screen,
        system=system,
    )
    check_session(session)
    code = run_session(session)
    if code:
        raise typer.Exit(code)
