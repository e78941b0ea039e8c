"""``handgroove figures``: what a groove's fills and drums alone become, candidate by candidate, and which to keep."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from handgroove.commands import options

if TYPE_CHECKING:
    from handgroove.figures.candidate import Candidate
    from handgroove.figures.figure_settings import FigureSettings
    from handgroove.figures.plan import Choice, Figures
    from handgroove.harmony.chart import Harmony


def figures(
    source: Annotated[str, typer.Argument(help="A drum MIDI file, or a pattern.", show_default=False)],
    chart: options.Chart = "",
    key: options.Key = "",
    kit: options.KitFile = "",
    channel: options.Channel = 10,
    track: options.Track = None,
    pickup: options.Pickup = 0,
    busy: Annotated[
        float, typer.Option(help="Share of the strokes that sing: 0 accents alone.", min=0, max=1)
    ] = 1,
    tonal: Annotated[
        float, typer.Option(help="1 keeps to the scale; below 0.5, any note.", min=0, max=1)
    ] = 1,
    low: Annotated[str, typer.Option(help="The lowest note.")] = "C4",
    high: Annotated[str, typer.Option(help="The highest note.")] = "C6",
    hand: Annotated[str, typer.Option(help="Which hand plays: right, left, or both by turns.")] = "right",
    octaves: Annotated[
        bool, typer.Option("--octaves", help="The other hand doubles an octave below.")
    ] = False,
    free: Annotated[bool, typer.Option("--free", help="The contour need not follow the drums.")] = False,
    pick: Annotated[
        list[str] | None, typer.Option(help="Keep this candidate: 2 for the first figure, 8:2 for bar 8.")
    ] = None,
    picks: Annotated[
        Path | None, typer.Option(help="The picks file. Default: SOURCE.picks.yaml beside the source.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print all candidates for programs.")] = False,
) -> None:
    """Show the melodic figures that fills and drums alone can become, ranked, each with its reasons.

    A pick is kept in the picks file, and the next run plays it.

    Examples:

      handgroove figures take.mid --chart song.txt

      handgroove figures take.mid --chart "| C | F | C | G7 |" --pick 4:3
    """
    from handgroove.desk.desk import Desk
    from handgroove.figures.figure_settings import DEFAULT_SETTINGS
    from handgroove.harmony.symbols.names import parse_key
    from handgroove.picks import Picks, picks_path, read_picks, use_picks, write_picks
    from handgroove.sources.readers import ReadOptions, read_source

    settings = _settings(busy, tonal, low, high, hand, octaves, free)
    if pick and settings != DEFAULT_SETTINGS:
        from handgroove.errors import Problem, WrongUseError

        problem = Problem(
            "--pick",
            "counts the figures of the usual settings, which are what `handgroove translate` chooses from",
            remedy="pick without --busy, --tonal, --low, --high, --hand, --octaves and --free",
        )
        raise WrongUseError(problem)
    laid = options.read_chart_option(chart)
    reading = ReadOptions(kit_file=kit, channel=channel, tracks=track or [], pickup_beats=pickup)
    groove, pattern = read_source(source, reading, laid)
    picked = use_picks(source)
    desk = Desk(groove, laid, pattern or picked.pattern, key=parse_key(key) if key else None)
    path = picks or picks_path(source)
    kept = read_picks(path) if path.exists() else Picks()
    # The main job's own desk, so that a candidate has the number here that it has there.
    desk = desk.change(named_pattern=picked.voiced(desk.pattern), figures_wanted=settings, picks=kept.figures)
    planned = desk.figures
    if pick:
        for bar, number in _read_pick(pick, planned):
            kept = kept.with_figure(bar, number)
        write_picks(kept, path, source)
        planned = desk.change(picks=kept.figures).figures
    if as_json:
        _tell_json(planned)
    else:
        _tell(planned, desk.harmony)
        if pick:
            typer.echo(f"kept in {path}")


def _settings(
    busy: float, tonal: float, low: str, high: str, hand: str, octaves: bool, free: bool
) -> FigureSettings:
    """Return the settings that the options spell; raise WrongUseError with all that is wrong with them."""
    from handgroove.errors import HandgrooveError, Problem, WrongUseError
    from handgroove.figures.figure_settings import Contour, Doubling, FigureSettings, Sharing
    from handgroove.figures.pitches import parse_pitch

    problems: list[Problem] = []
    limits = []
    for option, name in (("--low", low), ("--high", high)):
        try:
            limits.append(parse_pitch(name))
        except HandgrooveError as error:
            problems += [Problem(option, problem.text, remedy=problem.remedy) for problem in error.problems]
    if len(limits) == 2 and limits[1] - limits[0] < 7:
        problems.append(Problem("--high", f"expected at least a fifth above {low}, got {high}"))
    if hand not in list(Sharing):
        problems.append(Problem("--hand", f"expected right, left or both, got {hand!r}"))
    if problems:
        raise WrongUseError(problems)
    return FigureSettings(
        busy,
        tonal,
        limits[0],
        limits[1],
        Sharing(hand),
        Doubling.OCTAVES if octaves else Doubling.UNISON,
        Contour.FREE if free else Contour.LITERAL,
    )


def _read_pick(picks: list[str], planned: Figures) -> list[tuple[int, int]]:
    """Return (bar, candidate) for each pick, checked against what there is to pick from."""
    from handgroove.errors import Problem, WrongUseError

    found, problems = [], []
    by_bar = {choice.bar: choice for choice in planned.choices}
    for text in picks:
        bar_text, _, number_text = text.rpartition(":")
        digits = number_text.isdigit() and (not bar_text or bar_text.isdigit())
        if not digits or not planned.choices:
            known = ", ".join(str(bar) for bar in by_bar) or "none"
            problems.append(
                Problem("--pick", f"expected BAR:NUMBER or NUMBER, got {text!r}; they begin in: {known}")
            )
            continue
        bar = int(bar_text) if bar_text else planned.choices[0].bar
        choice = by_bar.get(bar)
        count = len(choice.candidates) if choice else 0
        if not 1 <= int(number_text) <= count:
            bars = ", ".join(f"bar {b} (1 to {len(c.candidates)})" for b, c in by_bar.items())
            problems.append(
                Problem("--pick", f"no candidate {number_text} in bar {bar}", remedy=f"there are: {bars}")
            )
            continue
        found.append((bar, int(number_text)))
    if problems:
        raise WrongUseError(problems)
    return found


def _tell(planned: Figures, harmony: Harmony) -> None:
    if not planned.choices:
        typer.echo("No fill and no bars of drums alone were found, so there is nothing to make a figure of.")
    for choice in planned.choices:
        typer.echo(f"Bar {choice.bar}: {choice.what}")
        for number, candidate in enumerate(choice.candidates, start=1):
            mark = "*" if number - 1 == choice.chosen else " "
            typer.echo(f" {mark}{number}. {candidate.name}, {candidate.score:.0f} of 100")
            if candidate.pitches:
                typer.echo(f"      {_notes(candidate, harmony)}")
            for reason in candidate.reasons:
                typer.echo(f"      - {reason}")
        typer.echo("")
    for message in planned.messages:
        typer.echo(message)


def _notes(candidate: Candidate, harmony: Harmony) -> str:
    """Return the line's notes by name, each as its chord spells it, and the landing behind a bar line."""
    from handgroove.figures.pitches import pitch_name

    sounding = {
        pitch: harmony.at(item.meant).chord for item in candidate.asked for pitch in item.strike.pitches
    }
    line = " ".join(pitch_name(pitch, harmony.key, sounding.get(pitch)) for pitch in candidate.pitches)
    if candidate.landing is None:
        return line
    return (
        f"{line} | {pitch_name(candidate.landing, harmony.key, harmony.at(candidate.asked[-1].meant).chord)}"
    )


def _tell_json(planned: Figures) -> None:
    import json

    facts = {"figures": [_choice(choice) for choice in planned.choices], "messages": list(planned.messages)}
    typer.echo(json.dumps(facts, indent=2))


def _choice(choice: Choice) -> dict[str, Any]:
    return {
        "bar": choice.bar,
        "what": choice.what,
        "chosen": choice.chosen + 1,
        "candidates": [
            {
                "name": candidate.name,
                "score": candidate.score,
                "pitches": list(candidate.pitches),
                "landing": candidate.landing,
                "terms": {term.value: cost for term, cost in candidate.terms.items()},
                "reasons": list(candidate.reasons),
                "notes": [
                    {
                        "tick": item.tick,
                        "pitches": list(item.strike.pitches),
                        "velocity": item.strike.velocity,
                        "hand": item.strike.hand.value,
                        "hold_ticks": item.strike.hold_ticks,
                        "grace": item.strike.grace,
                    }
                    for item in candidate.asked
                ],
            }
            for candidate in choice.candidates
        ],
    }
