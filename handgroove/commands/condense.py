"""``handgroove condense``: a whole band's MIDI file on one piano."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from handgroove.band.read.density import Chords, Density
from handgroove.commands import options
from handgroove.commands.writing import Write, check_folder

if TYPE_CHECKING:
    from handgroove.band.read.choices import Choices
    from handgroove.band.read.tracks import Band
    from handgroove.band.tell.folder import Outcome
    from handgroove.band.write.condensing import Condensed


def condense(
    source: Annotated[
        Path, typer.Argument(help="A band's MIDI file, or a folder of them.", show_default=False)
    ],
    melody: Annotated[
        list[str] | None, typer.Option(help="The track that is the tune, by name or number.")
    ] = None,
    bass: Annotated[list[str] | None, typer.Option(help="The track that is the bass.")] = None,
    drums: Annotated[list[str] | None, typer.Option(help="A track that is drums.")] = None,
    ignore: Annotated[list[str] | None, typer.Option(help="A track to leave out altogether.")] = None,
    choices: Annotated[
        Path | None, typer.Option(help="A choices file: roles, and what to keep, leave out, prefer.")
    ] = None,
    chart: Annotated[
        str, typer.Option(help="The chords, where you know better: a chart file, or bars.")
    ] = "",
    key: Annotated[str, typer.Option(help="The key: C, F#m, Bb.")] = "",
    pattern: Annotated[str, typer.Option(help="Which hand takes which drum: a pattern's name or file.")] = "",
    player: options.Player = "",
    kit: options.KitFile = "",
    chords: Annotated[
        Chords | None,
        typer.Option(help="Chords beside the tune: comp with the hats, support it, or answer it."),
    ] = None,
    density: Annotated[
        Density | None, typer.Option(help="How much of the band is brought to the piano.")
    ] = None,
    levels: Annotated[bool, typer.Option("--levels", help="All three densities, each in a folder.")] = False,
    out: Annotated[
        Path | None, typer.Option(help="Folder to write to. Default: one named after the source.")
    ] = None,
    write: Write = None,
    jobs: Annotated[int, typer.Option(help="With a folder: how many files at a time.", min=1, max=64)] = 1,
    force: options.Force = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print the report for programs.")] = False,
) -> None:
    """Condense a band's MIDI file into a two-hand piano part.

    Finds what each track does, the key, chords and sections, and puts the tune, the bass, the drums and what fits of
    the rest into two hands. Writes piano.mid, report.json, fingers.svg, decisions.txt (what became of every track),
    comparison.html (band and piano side by side) and choices.yaml (yours to edit; give it back with --choices).

    Examples:

      handgroove condense band.mid

      handgroove condense band.mid --melody "Lead vox" --player octave --levels

      handgroove condense songs --jobs 4 --out pianos
    """
    job = CondenseJob(
        tuple(melody or ()), tuple(bass or ()), tuple(drums or ()), tuple(ignore or ()),
        str(choices or ""), chart, key, pattern, player, kit, chords, density, levels, tuple(write or ()),
    )  # fmt: skip
    if source.is_dir():
        _condense_folder(source, out or Path(f"{source.name or 'bands'}-piano"), job, jobs, force)
        return
    from handgroove.band.tell.band_writers import BAND_WRITERS
    from handgroove.output.writers import WRITERS

    folder = out or Path(source.stem)
    for one in [folder / density.value for density in Density] if levels else [folder]:
        check_folder(one, job.write, force=force, writers=(*WRITERS, *BAND_WRITERS))
    for condensed, written in job.run(source, folder):
        _tell(condensed, written, as_json)


@dataclass(frozen=True, slots=True)
class CondenseJob:
    """The options, as plain values that another process can be handed."""

    melody: tuple[str, ...] = ()
    bass: tuple[str, ...] = ()
    drums: tuple[str, ...] = ()
    ignore: tuple[str, ...] = ()
    choices: str = ""
    chart: str = ""
    key: str = ""
    pattern: str = ""
    player: str = ""
    kit: str = ""
    chords: Chords | None = None
    density: Density | None = None
    levels: bool = False
    write: tuple[str, ...] = ()

    def run(self, source: Path, folder: Path) -> list[tuple[Condensed, list[Path]]]:
        """Condense *source* into *folder* (a folder in it for each density with ``--levels``)."""
        from handgroove.band.read.band_readers import read_any_band
        from handgroove.band.write.condensing import condense_band
        from handgroove.groove.read.kitfile import read_kit
        from handgroove.hands.player import read_player
        from handgroove.harmony.symbols.names import parse_key
        from handgroove.patterns import read_pattern

        band = read_any_band(source)
        choices = self._choices(band)
        done = []
        for density in Density if self.levels else (self.density or choices.density,):
            condensed = condense_band(
                band,
                read_player(self.player),
                chart=options.read_chart_option(self.chart),
                key=parse_key(self.key) if self.key else None,
                choices=replace(choices, density=density),
                pattern=read_pattern(self.pattern) if self.pattern else None,
                kit=read_kit(self.kit),
            )
            target = folder / density.value if self.levels else folder
            done.append((condensed, write_condensed(condensed, target, self.write)))
        return done

    def measure(self, source: Path, folder: Path) -> Mapping[str, float | None]:
        """Condense *source* into *folder* and return its measures."""
        from handgroove.band.tell.shares import measure

        done = self.run(source, folder)
        condensed = next((c for c, _ in done if c.choices.density is Density.USUAL), done[0][0])
        return {**dict(measure(condensed).rows()), "notes": float(len(condensed.part.notes))}

    def _choices(self, band: Band) -> Choices:
        """Return the choices file's choices with the roles that the options name."""
        from handgroove.band.read.choices import Choices, find_track, read_choices
        from handgroove.band.read.roles import BandRole

        choices = read_choices(self.choices) if self.choices else Choices()
        said = {
            BandRole.MELODY: self.melody,
            BandRole.BASS: self.bass,
            BandRole.DRUMS: self.drums,
            BandRole.UNUSED: self.ignore,
        }
        roles = {find_track(band, name): role for role, names in said.items() for name in names}
        return replace(choices, roles={**choices.roles, **roles}, chords=self.chords or choices.chords)


def write_condensed(condensed: Condensed, folder: Path, extras: Iterable[str]) -> list[Path]:
    """Write all that is asked for into *folder* and return the files."""
    from handgroove.band.tell.band_writers import BAND_WRITERS
    from handgroove.output.files import write_files
    from handgroove.output.writers import WRITERS, choose, make_files

    files = make_files(choose(WRITERS, extras), condensed.part)
    return write_files(folder, {**files, **make_files(BAND_WRITERS, condensed)})


def _tell(condensed: Condensed, written: list[Path], as_json: bool) -> None:
    """Print the report, the decisions, and where the files are."""
    from handgroove.band.tell.decisions import decide, format_decisions
    from handgroove.band.tell.shares import measure
    from handgroove.output.report import make_report, print_report

    figures = dict(measure(condensed).rows())
    if as_json:
        report = make_report(condensed.part)
        report["measures"] = {
            name: None if value is None else round(value, 4) for name, value in figures.items()
        }
        report["decisions"] = [
            {
                "section": a.section.name, "bars": [a.section.first_bar, a.section.last_bar], "track": a.track,
                "role": a.role, "weight": a.weight, **{fate.value: count for fate, count in a.fates.items()},
                "why left out": dict(a.reasons),
            }
            for a in decide(condensed)
        ]  # fmt: skip
        print(json.dumps(report, indent=1, ensure_ascii=False))
        return
    print_report(condensed.part, most_lines=12)
    print(format_decisions(condensed))
    print(", ".join(f"{name} {value:.0%}" for name, value in figures.items() if value is not None))
    print(f"wrote {', '.join(str(path) for path in written)}")


def _condense_folder(source: Path, out: Path, job: CondenseJob, jobs: int, force: bool) -> None:
    """Condense every file of a folder, with progress, and a table at the end."""
    from handgroove.band.tell.folder import DONE, find_tasks, run_tasks
    from handgroove.errors import HandgrooveError, Problem

    tasks = find_tasks(source, out, repr(job))
    if force:
        for task in tasks:
            (task.folder / DONE).unlink(missing_ok=True)
    outcomes: list[Outcome] = []
    for outcome in run_tasks(tasks, job.measure, jobs):
        outcomes.append(outcome)
        state = "failed" if outcome.problem else "was done" if outcome.skipped else "done"
        print(f"[{len(outcomes)}/{len(tasks)}] {Path(outcome.source).name}: {state}", file=sys.stderr)
    outcomes.sort(key=lambda outcome: outcome.source)
    _print_table(outcomes)
    failed = [Problem(o.source, o.problem) for o in outcomes if o.problem]
    print(f"{len(outcomes) - len(failed)} of {len(outcomes)} condensed into {out}")
    if failed:
        raise HandgrooveError(failed)


_COLUMNS = {"melody kept": "melody", "bass on strong beats": "bass", "kicks": "kicks", "snares": "snares",
            "chord tones a bar": "chords", "accent profile (correlation)": "accents"}  # fmt: skip


def _print_table(outcomes: list[Outcome]) -> None:
    """Print a line for each file: what was kept of it, or why it failed."""
    from rich.console import Console
    from rich.table import Table

    table = Table(box=None, pad_edge=False, header_style="dim")
    table.add_column("file")
    for title in _COLUMNS.values():
        table.add_column(title, justify="right")
    for outcome in outcomes:
        if outcome.problem:
            table.add_row(Path(outcome.source).name, "failed")
            continue
        values = [outcome.figures.get(name) for name in _COLUMNS]
        table.add_row(Path(outcome.source).name, *("-" if v is None else f"{v:.2f}" for v in values))
    Console(highlight=False).print(table)
