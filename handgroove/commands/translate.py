"""``handgroove translate``: the main job on one's own files."""

from __future__ import annotations

import sys
from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from handgroove.errors import Problem
    from handgroove.groove.hits import Groove
    from handgroove.part import Part
    from handgroove.patterns import Pattern

MIDI_ENDINGS = (".mid", ".midi", ".smf", ".kar")
PATTERN_ENDINGS = (".yaml", ".yml")


class Extra(StrEnum):
    """What can be written beside the MIDI file, the report and the picture."""

    SCORE = "score"
    SOUND = "sound"


class Drums(StrEnum):
    """Whether the drums are heard in the sound file: not, softly beside the piano, or alone."""

    OFF = "off"
    SOFT = "soft"
    ONLY = "only"


def translate(
    sources: Annotated[
        list[str], typer.Argument(help="Drum MIDI files, or patterns by name or file.", show_default=False)
    ],
    chart: Annotated[
        str, typer.Option(help="The chords: a chart file, or the bars themselves: '| Am7 | F G7 |'.")
    ] = "",
    pattern: Annotated[
        str, typer.Option(help="Which hand takes which drum, and how: a pattern's name or file.")
    ] = "",
    player: Annotated[str, typer.Option(help="Whose hands: octave, ninth, tenth, or a player file.")] = "",
    out: Annotated[
        Path | None, typer.Option(help="Folder to write to. Default: a new one named after the source.")
    ] = None,
    key: Annotated[str, typer.Option(help="The key, where no chart says it: C, F#m, Bb.")] = "",
    transpose: Annotated[int, typer.Option(help="Move chart and key by this many semitones.")] = 0,
    bars: Annotated[
        int, typer.Option(help="How many bars, where the source is a pattern.", min=0, max=999)
    ] = 0,
    tempo: Annotated[float, typer.Option(help="Another tempo, quarter notes a minute.", min=0, max=400)] = 0,
    kit: Annotated[
        str, typer.Option(help="A kit file, where your drum numbers are not General MIDI's.")
    ] = "",
    channel: Annotated[int, typer.Option(help="The MIDI channel of the drums; 0 = any.", min=0, max=16)] = 10,
    track: Annotated[
        list[str] | None, typer.Option(help="A track to read drums from, by name or number.")
    ] = None,
    pickup: Annotated[
        float, typer.Option(help="Length of an incomplete first bar, in quarter notes.", min=0)
    ] = 0,
    write: Annotated[list[Extra] | None, typer.Option(help="Also write a score or a sound file.")] = None,
    soundfont: Annotated[
        Path | None, typer.Option(help="Sound: a SoundFont (SF2, SF3) of your own in place of our piano.")
    ] = None,
    drums: Annotated[
        Drums, typer.Option(help="Sound: with the drums to compare, or they alone.")
    ] = Drums.OFF,
    count_in: Annotated[int, typer.Option(help="Sound: click so many bars before.", min=0, max=8)] = 0,
    click: Annotated[bool, typer.Option("--click", help="Sound: click on every beat.")] = False,
    force: Annotated[bool, typer.Option("--force", help="Write over files that are there.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print the report for programs.")] = False,
) -> None:
    """Turn grooves into a two-hand piano part.

    Writes piano.mid, report.json and fingers.svg into a folder, one for each source. What you kept of an audition is
    used unless you name a pattern. When you listen, start quietly, above all with headphones.

    Examples:

      handgroove translate take.mid --chart song.txt

      handgroove translate take.mid --chart "| Am7 | Fmaj7 | C G/B |" --player octave

      handgroove translate "bossa nova" --bars 8 --chart "| Dm9 | G13 |" --out bossa
    """
    from handgroove.errors import HandgrooveError

    job = _Job(chart, pattern, player, key, transpose, bars, tempo, kit, channel, track or [], pickup)
    folders = choose_folders(sources, out)
    names = [*FILES, *(("score.musicxml",) if Extra.SCORE in (write or []) else ())]
    names += ["piano.wav"] if Extra.SOUND in (write or []) else []
    sound = {"soundfont": soundfont, "drums": drums.value, "count_in_bars": count_in, "click": click}
    problems: list[Problem] = []
    for source, folder in _with_progress(list(zip(sources, folders, strict=True)), as_json):
        try:
            from handgroove.output.files import check_free

            check_free([folder / name for name in names], force=force)
            part = job.run(source)
            written = write_part(part, folder, write or [], sound)
        except HandgrooveError as error:
            problems.extend(error.problems)
            continue
        tell(part, written, as_json)
    if problems:
        raise HandgrooveError(problems)


FILES = ("piano.mid", "report.json", "fingers.svg")


def choose_folders(sources: list[str], out: Path | None) -> list[Path]:
    """Return a folder for each source: *out* itself for one, folders in it for several, named after the sources."""
    if out is not None and len(sources) == 1:
        return [out]
    parent = out or Path()
    folders: list[Path] = []
    for source in sources:
        stem = Path(source).stem if Path(source).suffix else source.replace(" ", "-").replace("/", "-")
        folder, number = parent / (stem or "groove"), 2
        while folder in folders:
            folder, number = parent / f"{stem}-{number}", number + 1
        folders.append(folder)
    return folders


def write_part(
    part: Part, folder: Path, extras: list[Extra], sound: dict[str, Any] | None = None
) -> list[Path]:
    """Write all that is asked for into *folder* and return the files; *sound* says how the recording is to be."""
    from handgroove.output.midi import write_midi
    from handgroove.output.picture import write_picture
    from handgroove.output.report import write_report

    written = [
        write_midi(part, folder / "piano.mid"),
        write_report(part, folder / "report.json"),
        write_picture(part, folder / "fingers.svg"),
    ]
    if Extra.SCORE in extras:
        from handgroove.output.score import write_score

        written += write_score(part, folder)
    if Extra.SOUND in extras:
        from handgroove.output.sound import write_sound

        written.append(write_sound(part, folder / "piano.wav", **sound or {}))
    return written


def tell(part: Part, written: list[Path], as_json: bool) -> None:
    """Print the report, and where the files are."""
    from handgroove.output.report import format_report_json, print_report

    if as_json:
        print(format_report_json(part), end="")
        return
    print_report(part)
    print(f"wrote {', '.join(str(path) for path in written)}")


class _Job:
    """The options, read once and used for every source."""

    def __init__(
        self,
        chart: str,
        pattern: str,
        player: str,
        key: str,
        transpose: int,
        bars: int,
        tempo: float,
        kit: str,
        channel: int,
        tracks: list[str],
        pickup: float,
    ) -> None:
        from handgroove.groove.kit import GENERAL_MIDI
        from handgroove.hands.player import read_player
        from handgroove.harmony.names import parse_key
        from handgroove.patterns import read_pattern

        self.chart = read_chart_option(chart, transpose)
        self.pattern = read_pattern(pattern) if pattern else None
        self.player = read_player(player)
        self.key = parse_key(key) if key else None
        self.kit = GENERAL_MIDI
        if kit:
            from handgroove.groove.kitfile import read_kit

            self.kit = read_kit(kit)
        self.bars, self.tempo, self.channel, self.tracks = bars, tempo, channel, tracks
        self.pickup_ticks = round(pickup * 960)

    def run(self, source: str) -> Part:
        """Return the part for one *source*."""
        from handgroove.job import translate as main_job
        from handgroove.picks import use_picks

        groove, own_pattern = self.read_source(source)
        picked, told = (None, ()) if self.pattern else use_picks(source)
        pattern = self.pattern or picked or own_pattern
        part = main_job(groove, self.chart, pattern, self.player, key=self.key)
        return replace(part, messages=(*part.messages, *told))

    def read_source(self, source: str) -> tuple[Groove, Pattern | None]:
        """Return the groove that *source* names, and its pattern where it is one."""
        from handgroove.groove.smf import read_groove
        from handgroove.patterns import read_pattern

        suffix = Path(source).suffix.lower()
        if suffix in MIDI_ENDINGS or (Path(source).exists() and suffix not in PATTERN_ENDINGS):
            channel = self.channel or None
            return read_groove(source, self.kit, channel, self.tracks, self.pickup_ticks), None
        pattern = read_pattern(source)
        bars = self.bars or (len(self.chart.bars) if self.chart else 8)
        return pattern.groove(bars), pattern


def read_chart_option(chart: str, transpose: int = 0):  # type: ignore[no-untyped-def]
    """Return the chart that an option gives, as bars or as a file, transposed; None where it gives none."""
    from handgroove.harmony.chart import parse_chart, read_chart, transpose_chart

    if not chart:
        return None
    read = parse_chart(chart, "--chart") if "|" in chart else read_chart(chart)
    return transpose_chart(read, transpose) if transpose else read


def _with_progress(jobs: list[tuple[str, Path]], quiet: bool):  # type: ignore[no-untyped-def]
    """Yield *jobs* with a progress line on a terminal, where there are several."""
    if len(jobs) < 2 or quiet or not sys.stderr.isatty():
        yield from jobs
        return
    from rich.console import Console
    from rich.progress import track

    yield from track(jobs, description="translating", console=Console(stderr=True))
