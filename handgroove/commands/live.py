"""``handgroove live``: playing on stage."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from handgroove.commands import options
from handgroove.live.core.changes import At

if TYPE_CHECKING:
    from handgroove.groove.kit import Kit
    from handgroove.harmony.chart import Chart
    from handgroove.live.core.stage import Sink, Source

_PATTERNS = ["straight eighths"]
PORT_HELP = "port name or part of it, or 'virtual'"


def live(
    patterns: Annotated[
        list[str] | None, typer.Argument(help="Patterns by name or file; the first is on at the start.")
    ] = None,
    drums: Annotated[str, typer.Option(help=f"Hits come in here: {PORT_HELP}.")] = "",
    keys: Annotated[str, typer.Option(help=f"Your chords come in here: {PORT_HELP}.")] = "",
    clock: Annotated[str, typer.Option(help=f"Follow the MIDI clock that comes in here: {PORT_HELP}.")] = "",
    controls_in: Annotated[
        str, typer.Option(help=f"Pedals, knobs and pads that only control: {PORT_HELP}.")
    ] = "",
    out: Annotated[str, typer.Option(help=f"The piano goes out here: {PORT_HELP}. Default: virtual.")] = "",
    clock_out: Annotated[str, typer.Option(help=f"Send MIDI clock: {PORT_HELP}.")] = "",
    click: Annotated[
        str, typer.Option("--click-out", help=f"The count-in's click goes out here: {PORT_HELP}.")
    ] = "",
    groove: Annotated[str, typer.Option(help="Play the drums of this MIDI file, once.")] = "",
    chart: Annotated[str, typer.Option(help="The chords: a chart file, or the bars: '| Am7 | F G7 |'.")] = "",
    player: options.Player = "",
    hands: Annotated[
        Literal["both", "left", "right"], typer.Option(help="Which hands Handgroove plays.")
    ] = "both",
    tempo: Annotated[
        float, typer.Option(help="Quarter notes a minute. Default: the pattern's.", min=0, max=400)
    ] = 0,
    count_in: Annotated[int, typer.Option(help="Bars of count-in.", min=0, max=8)] = 0,
    wait: Annotated[
        bool, typer.Option("--wait", help="Start when told to (key s, a control, or clock in).")
    ] = False,
    play: Annotated[
        bool | None, typer.Option(help="Play the pattern's own groove. Default: without --drums.")
    ] = None,
    changes: Annotated[At, typer.Option(help="When changes are taken.")] = At.BAR,
    volume: Annotated[int, typer.Option("--loudness", help="Loudness in per cent.", min=10, max=150)] = 100,
    transpose: Annotated[int, typer.Option(help="Semitones up or down.", min=-11, max=11)] = 0,
    channel: Annotated[int, typer.Option(help="The piano's MIDI channel.", min=1, max=16)] = 1,
    drum_channel: Annotated[
        int, typer.Option(help="Take hits on this channel only; 0 = any.", min=0, max=16)
    ] = 0,
    kit: options.KitFile = "",
    thru: Annotated[bool, typer.Option("--thru", help="Send on what you play on the keys.")] = False,
    pass_other: Annotated[
        bool,
        typer.Option(
            "--pass-other", help="Send on sysex and other messages that are neither note nor control."
        ),
    ] = False,
    controls: Annotated[
        str, typer.Option(help="A YAML file of pedals, keys and knobs and what they do.")
    ] = "",
    learn: Annotated[
        Path | None, typer.Option(help="Press each control when asked, write this controls file, and end.")
    ] = None,
    record: Annotated[str, typer.Option(help="Keep every take, input and output, in this folder.")] = "",
    sound: Annotated[
        bool, typer.Option("--sound", help="Hear the piano through this machine. Start quietly.")
    ] = False,
    soundfont: Annotated[
        Path | None, typer.Option(help="With --sound: a SoundFont (SF2, SF3) of your own.")
    ] = None,
    screen: Annotated[bool, typer.Option(help="Show the big screen.")] = True,
    system: Annotated[str, typer.Option(help="The MIDI system: alsa, jack, core or windows.")] = "",
) -> None:
    """Play live: drums in, piano out, at once.

    Keys while it plays: space ends all notes, s starts, x stops, t taps the tempo, f plays a fill, n and p change the
    pattern, c goes to the next section of the chart, h changes hands, + and - the loudness, < and > transpose, q ends.

    With --sound mind your hearing: start quietly, above all with headphones. For workers, NIOSH (1998) recommends at
    most 8 hours a day at 85 dB(A), and half of that for every 3 dB more. A caution, not medical advice.

    Examples:

      handgroove live "straight eighths" --chart "| Am7 | Fmaj7 |" --sound

      handgroove live --drums "pad kit" --keys stage --out synth

      handgroove live bossa-nova --clock sequencer --record takes
    """
    from handgroove.groove.read.kitfile import read_kit
    from handgroove.hands.player import read_player
    from handgroove.live.core.programme import HANDS_BY_NAME
    from handgroove.live.core.stage import Setup, Sink, Source
    from handgroove.live.session import Session, check_session, run_session

    ends: dict[Source | Sink, str] = {
        Source.DRUMS: drums,
        Source.KEYS: keys,
        Source.CLOCK: clock,
        Source.CONTROLS: controls_in,
        Sink.PIANO: out or ("" if sound or soundfont else "virtual"),
        Sink.CLOCK: clock_out,
        Sink.CLICK: click,
    }
    if learn is not None:
        from handgroove.live.beside.learn import learn_controls

        learn_controls(
            learn, {end: name for end, name in ends.items() if isinstance(end, Source) and name}, system
        )
        return
    names, laid, drum_kit = patterns or _PATTERNS, options.read_chart_option(chart), read_kit(kit)
    setup = Setup(
        tempo_bpm=tempo or _usual_tempo(laid, groove, drum_kit, names[0]),
        channel=channel - 1,
        drum_channel=drum_channel - 1 if drum_channel else None,
        kit=drum_kit,
        hands=HANDS_BY_NAME[hands],
        volume=volume / 100,
        transpose=transpose,
        changes_at=changes,
        count_in_bars=count_in,
        follow=bool(clock),
        send_clock=bool(clock_out),
        thru=thru,
        pass_other=pass_other,
    )
    session = Session(
        setup=setup,
        patterns=tuple(names),
        player=read_player(player),
        chart=laid,
        groove_path=groove,
        plays=bool(groove) or (not drums if play is None else play),
        waits=wait,
        ports=ends,
        system=system,
        controls_path=controls,
        record_folder=record,
        with_sound=sound or soundfont is not None,
        soundfont=soundfont,
        with_screen=screen,
    )
    check_session(session)
    code = run_session(session)
    if code:
        raise typer.Exit(code)


def _usual_tempo(chart: Chart | None, groove: str, kit: Kit, pattern: str) -> float:
    """Return the chart's tempo where it has one, else that of the *groove*'s file, else the *pattern*'s."""
    if chart and chart.tempo_bpm:
        return chart.tempo_bpm
    if groove:
        from handgroove.groove.read.smf import read_groove

        return read_groove(groove, kit).timeline.tempo_at(0)
    from handgroove.patterns import read_pattern

    return read_pattern(pattern).tempo_bpm
