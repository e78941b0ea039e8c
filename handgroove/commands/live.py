"""``handgroove live``: playing on stage."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from handgroove.commands import options

if TYPE_CHECKING:
    from handgroove.live.core.stage import Setup, Sink, Source

_PATTERNS = ["straight eighths"]
PORT_HELP = "port name or part of it, or 'virtual'"


@dataclass(frozen=True)
class _Choices:
    """The musical choices of the command line."""

    groove: str
    chart: str
    player: str
    hands: HandChoice
    tempo: float
    count_in: int
    changes: ChangesAt
    volume: int
    transpose: int
    channel: int
    drum_channel: int
    kit: str


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
    player: Annotated[str, typer.Option(help="Whose hands: octave, ninth, tenth, or a player file.")] = "",
    hands: Annotated[HandChoice, typer.Option(help="Which hands Handgroove plays.")] = HandChoice.BOTH,
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
    changes: Annotated[ChangesAt, typer.Option(help="When changes are taken.")] = ChangesAt.BAR,
    volume: Annotated[int, typer.Option("--loudness", help="Loudness in per cent.", min=10, max=150)] = 100,
    transpose: Annotated[int, typer.Option(help="Semitones up or down.", min=-11, max=11)] = 0,
    channel: Annotated[int, typer.Option(help="The piano's MIDI channel.", min=1, max=16)] = 1,
    drum_channel: Annotated[
        int, typer.Option(help="Take hits on this channel only; 0 = any.", min=0, max=16)
    ] = 0,
    kit: Annotated[
        str, typer.Option(help="A kit file, where your drum numbers are not General MIDI's.")
    ] = "",
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
    from handgroove.hands.player import read_player
    from handgroove.live.core.stage import Sink, Source
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
    choices = _Choices(
        groove, chart, player, hands, tempo, count_in, changes, volume, transpose, channel, drum_channel, kit
    )
    session = Session(
        setup=_setup(choices, ends, thru=thru, pass_other=pass_other, pattern=(patterns or _PATTERNS)[0]),
        patterns=tuple(patterns or _PATTERNS),
        player=read_player(player),
        chart=options.read_chart_option(chart),
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


def _setup(
    choices: _Choices, ends: dict[Source | Sink, str], *, thru: bool, pass_other: bool, pattern: str
) -> Setup:
    """Return the engine's setup: the tempo is the one asked for, or the groove's, the chart's, the pattern's."""
    from handgroove.groove.kit import GENERAL_MIDI
    from handgroove.live.core.changes import At
    from handgroove.live.core.programme import HANDS_BY_NAME
    from handgroove.live.core.stage import Setup, Sink, Source
    from handgroove.patterns import read_pattern

    kit = GENERAL_MIDI
    if choices.kit:
        from handgroove.groove.read.kitfile import read_kit

        kit = read_kit(choices.kit)
    chart = options.read_chart_option(choices.chart)
    tempo = choices.tempo or (chart.tempo_bpm if chart and chart.tempo_bpm else 0)
    if not tempo and choices.groove:
        from handgroove.groove.read.smf import read_groove

        tempo = read_groove(choices.groove, kit).timeline.tempo_at(0)
    return Setup(
        tempo_bpm=tempo or read_pattern(pattern).tempo_bpm,
        channel=choices.channel - 1,
        drum_channel=choices.drum_channel - 1 if choices.drum_channel else None,
        kit=kit,
        hands=HANDS_BY_NAME[choices.hands.value],
        volume=choices.volume / 100,
        transpose=choices.transpose,
        changes_at=At(choices.changes.value),
        count_in_bars=choices.count_in,
        follow=bool(ends[Source.CLOCK]),
        send_clock=bool(ends[Sink.CLOCK]),
        thru=thru,
        pass_other=pass_other,
    )
