"""``handgroove check``: can two hands play it, where not, and what it asks of them."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from handgroove.hands.difficulty import BarDifficulty
    from handgroove.hands.load import Load
    from handgroove.hands.piano_file import PianoFile
    from handgroove.hands.playability import Trouble
    from handgroove.hands.player import Player
    from handgroove.timeline import Timeline

MOST_LINES = 40


def check(
    files: Annotated[list[Path], typer.Argument(help="Piano MIDI files, anybody's.", show_default=False)],
    player: Annotated[str, typer.Option(help="Whose hands: octave, ninth, tenth ... or a player file.")] = "",
    left: Annotated[int, typer.Option(help="The left hand's track, where it isn't found.", min=0)] = 0,
    right: Annotated[int, typer.Option(help="The right hand's track.", min=0)] = 0,
    as_json: Annotated[bool, typer.Option("--json", help="Print for programs.")] = False,
) -> None:
    """Check whether two hands can play piano MIDI files: what they can't, what strains, bar by bar, and the load.

    Ends with 0 if all of it can be played, 1 if not.

    Examples:  handgroove check piano.mid  ·  handgroove check song.mid --player octave --json
    """
    from handgroove.errors import HandgrooveError, Problem, WrongUseError
    from handgroove.hands.player import read_player

    if bool(left) != bool(right):
        raise WrongUseError("expected both --left and --right, or neither")
    whose = read_player(player)
    problems: list[Problem] = []
    reports = []
    for path in files:
        try:
            reports.append(make_report(path, whose, [left, right] if left else []))
        except HandgrooveError as error:
            problems.extend(error.problems)
    if as_json:
        print(json.dumps([report for report, _ in reports], indent=1, ensure_ascii=False))
    else:
        for _, text in reports:
            print(text)
    for problem in problems:
        print(problem, file=sys.stderr)
    if problems or any(report["cant"] for report, _ in reports):
        raise typer.Exit(1)


def make_report(path: Path, whose: Player, tracks: list[int]) -> tuple[dict[str, Any], str]:
    """Return what there is to say of the file at *path*: for programs, and in words."""
    from handgroove.hands.difficulty import find_difficulty
    from handgroove.hands.load import find_cautions, find_loads
    from handgroove.hands.piano_file import read_piano
    from handgroove.hands.playability import Severity, check_notes

    piano = read_piano(path, whose, tracks)
    troubles = check_notes(piano.notes, whose, piano.timeline)
    cant = [trouble for trouble in troubles if trouble.severity is Severity.CANT]
    strains = [trouble for trouble in troubles if trouble.severity is Severity.STRAIN]
    loads = find_loads(piano.notes, piano.timeline)
    cautions = find_cautions(loads, len(strains), whose)
    difficulty = find_difficulty(piano.notes, whose, piano.timeline)
    report = {
        "file": str(path),
        "player": whose.name,
        "hands": piano.split,
        "notes": len(piano.notes),
        "playable": not cant,
        "cant": [_as_dict(trouble, piano.timeline) for trouble in cant],
        "strains": [_as_dict(trouble, piano.timeline) for trouble in strains],
        "load": [_load_dict(load, piano.timeline) for load in loads],
        "difficulty": [{"bar": d.bar, "hand": str(d.hand), "figure": d.figure} for d in difficulty],
        "cautions": cautions,
    }
    return report, _in_words(path, whose.name, piano, cant, strains, loads, difficulty, cautions)


def _as_dict(trouble: Trouble, timeline: Timeline) -> dict[str, Any]:
    return {
        "bar": timeline.bar_at(trouble.tick).number,
        "position": timeline.format_position(trouble.tick),
        "hand": str(trouble.hand) if trouble.hand else "both",
        "what": trouble.text,
    }


def _load_dict(load: Load, timeline: Timeline) -> dict[str, Any]:
    return {
        "hand": str(load.hand),
        "notes": load.notes,
        "octaves a minute": load.octaves_per_min,
        "octaves in the busiest minute": load.busiest_octaves,
        "longest stretch without rest, seconds": load.longest_run_sec,
        "fastest repetition, a second": load.fastest_repeat_hz,
        "fastest repetition at": timeline.format_position(load.fastest_repeat_tick),
        "widest reach, semitones": load.widest_semitones,
        "widest reach at": timeline.format_position(load.widest_tick),
    }


def _in_words(
    path: Path,
    who: str,
    piano: PianoFile,
    cant: list[Trouble],
    strains: list[Trouble],
    loads: list[Load],
    difficulty: list[BarDifficulty],
    cautions: list[str],
) -> str:
    """Return the report as lines to read."""
    timeline = piano.timeline
    lines = [f"{path}: {len(piano.notes)} notes, for {who}", f"  {piano.split}"]
    lines.append("  all of it can be played" if not cant else f"  can't be played: {len(cant)}")
    lines += _list(cant, timeline)
    if strains:
        lines.append(f"  strains: {len(strains)}")
        lines += _list(strains, timeline)
    for load in loads:
        lines.append(
            f"  {load.hand} hand: {load.notes} notes; {load.octaves_per_min:g} octaves a minute; "
            f"{_minutes(load.longest_run_sec)} at most without a rest; fastest repetition "
            f"{load.fastest_repeat_hz:g} a second ({timeline.format_position(load.fastest_repeat_tick)}); "
            f"widest reach {load.widest_semitones} semitones ({timeline.format_position(load.widest_tick)})"
        )
        mine = [item for item in difficulty if item.hand is load.hand]
        hardest = max(mine, key=lambda item: (item.figure, -item.bar))
        mean = sum(item.figure for item in mine) / len(mine)
        lines.append(
            f"    difficulty: {mean:.1f} on average, {hardest.figure:.1f} in bar {hardest.bar}, the hardest"
        )
    lines += [f"  {caution}" for caution in cautions]
    return "\n".join(lines)


def _minutes(sec: float) -> str:
    return f"{sec:.0f} seconds" if sec < 120 else f"{sec / 60:.1f} minutes"


def _list(troubles: list[Trouble], timeline: Timeline) -> list[str]:
    """Return troubles by bar, equal ones of a bar together; the rest is counted."""
    rows: dict[tuple[int, str, str], list[str]] = {}
    for trouble in troubles:
        position = timeline.format_position(trouble.tick)
        bar, _, beat = position.partition(", beat ")
        hand = f"{trouble.hand} hand: " if trouble.hand else ""
        rows.setdefault((timeline.bar_at(trouble.tick).number, bar, hand + trouble.text), []).append(beat)
    lines = [
        f"    {bar}, beat {', '.join(dict.fromkeys(beats))}: {text}" for (_, bar, text), beats in rows.items()
    ]
    if len(lines) > MOST_LINES:
        rest = len(lines) - MOST_LINES
        lines[MOST_LINES:] = [f"    ... and {rest} more lines: --json has them all"]
    return lines
