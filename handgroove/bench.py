"""Speed and memory, measured: ``python -m handgroove.bench [main] FOLDER``.

Machines differ and are shared, so what counts is the ratio to a floor measured in the same run: mido reading and
writing the same files with nothing in between. Each figure is the best of a few rounds, taken by turns, since whatever
else the machine does can only slow a round down.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter
from typing import TYPE_CHECKING

from handgroove.errors import HandgrooveError, WrongUseError

if TYPE_CHECKING:
    from handgroove.harmony.chart import Chart

ROUNDS = 3


def find_files(folder: Path) -> list[Path]:
    """Return the MIDI files in *folder*, in order of name."""
    files = sorted(path for path in folder.rglob("*") if path.suffix.lower() in (".mid", ".midi"))
    if not files:
        raise WrongUseError(f"{folder}: expected a folder with MIDI files, found none")
    return files


def floor(path: Path) -> int:
    """Read and write *path* with mido and nothing in between; return how many bytes come out."""
    import mido

    out = io.BytesIO()
    mido.MidiFile(path).save(file=out)
    return out.tell()


def main_job(path: Path) -> tuple[int, float]:
    """Do the whole main job on *path*, in memory; return its hits and the seconds of its music."""
    from handgroove.groove.smf import read_groove
    from handgroove.job import translate
    from handgroove.output.midi import format_midi
    from handgroove.output.picture import format_picture
    from handgroove.output.report import format_report_json

    groove = read_groove(path)
    part = translate(groove, _chart())
    format_midi(part)
    format_report_json(part)
    format_picture(part)
    return len(groove.hits), groove.timeline.tick_to_sec(groove.timeline.end_tick)


def _chart() -> Chart:
    from handgroove.harmony.chart import parse_chart

    return parse_chart("| Am7 | Fmaj7 | C/E | G7sus4 G7 |")


def best_of(rounds: int, *jobs: Callable[[], object]) -> list[float]:
    """Return the best time of each of *jobs* in seconds, over *rounds* rounds in which they take turns."""
    best = [float("inf")] * len(jobs)
    for _ in range(rounds):
        for index, job in enumerate(jobs):
            start = perf_counter()
            job()
            best[index] = min(best[index], perf_counter() - start)
    return best


def peak_memory_mb() -> float | None:
    """Return the most memory that this process has had, in MB, or None where the system does not tell."""
    try:
        import resource
    except ImportError:
        return None
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return peak / 2**20 if sys.platform == "darwin" else peak / 2**10


def bench_main(folder: Path) -> None:
    """Print hits a second, seconds of music per second of work, memory, growth, and the ratio to the floor."""
    files = find_files(folder)
    usable: list[Path] = []
    hits, music_sec = 0, 0.0
    for path in files:  # once unmeasured: imports, caches, and which files hold drums
        try:
            count, sec = main_job(path)
        except HandgrooveError as error:
            print(f"passed over: {error}", file=sys.stderr)
            continue
        usable.append(path)
        hits, music_sec = hits + count, music_sec + sec
    work, bare = best_of(
        ROUNDS, lambda: [main_job(path) for path in usable], lambda: [floor(path) for path in usable]
    )
    memory = peak_memory_mb()
    print(f"main job over {len(usable)} files, {hits} hits, {music_sec:.0f} s of music")
    print(
        f"  work                 {work:.2f} s: {hits / work:,.0f} hits a second, "
        f"{music_sec / work:,.0f} times real time"
    )
    print(f"  floor (mido alone)   {bare:.2f} s")
    print(f"  ratio to the floor   {work / bare:.2f}")
    print(f"  peak memory          {f'{memory:.0f} MB' if memory else 'this system does not tell'}")
    _print_growth(max(usable, key=lambda path: path.stat().st_size))


def _print_growth(path: Path) -> None:
    """Print how the work grows when a groove is repeated 1, 2, 4 and 8 times: a hit should cost the same."""
    from dataclasses import replace

    from handgroove.groove.hits import Hit
    from handgroove.groove.smf import read_groove
    from handgroove.job import translate

    groove = read_groove(path)
    length, chart = groove.timeline.end_tick, _chart()
    costs = []
    for times in (1, 2, 4, 8):
        hits = tuple(
            Hit(hit.tick + n * length, hit.piece, hit.velocity, hit.note)
            for n in range(times)
            for hit in groove.hits
        )
        long = replace(groove, hits=hits, timeline=replace(groove.timeline, end_tick=times * length))
        (sec,) = best_of(2, lambda long=long: translate(long, chart))  # type: ignore[misc]
        costs.append(sec / len(hits) * 1e6)
    print(
        "  growth: "
        + ", ".join(f"{times}x {cost:.0f} us a hit" for times, cost in zip((1, 2, 4, 8), costs, strict=True))
    )


BENCHES: dict[str, Callable[[Path], None]] = {"main": bench_main}


def run(name: str, folder: Path) -> None:
    """Run the bench called *name* over *folder*."""
    if name not in BENCHES:
        raise WrongUseError(f"expected one of the benches {', '.join(BENCHES)}, got {name!r}")
    BENCHES[name](folder)


def main(arguments: list[str]) -> int:
    """Run from the command line: ``[NAME] FOLDER``; return the exit code."""
    name, folder = ("main", arguments[0]) if len(arguments) == 1 else [*arguments, "", ""][:2]
    try:
        if not folder:
            raise WrongUseError(f"expected: python -m handgroove.bench [{'|'.join(BENCHES)}] FOLDER")
        run(name, Path(folder))
    except HandgrooveError as error:
        print(error, file=sys.stderr)
        return error.exit_code
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
