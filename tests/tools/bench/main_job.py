"""The whole main job over a folder of MIDI files: hits a second, memory, growth, and the ratio to a floor.

Machines differ and are shared, so what counts is the ratio to a floor measured in the same run: mido reading and
writing the same files with nothing in between. Each figure is the best of a few rounds, taken by turns, since whatever
else the machine does can only slow a round down.
"""

from __future__ import annotations

import io
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from handgroove.errors import HandgrooveError
from tests.tools.bench.common import best_of, find_files, peak_memory_mb

if TYPE_CHECKING:
    from handgroove.harmony.chart import Chart

ROUNDS = 3
REPEATS = (1, 2, 4, 8)


def floor(path: Path) -> int:
    """Read and write *path* with mido and nothing in between; return how many bytes come out."""
    import mido

    out = io.BytesIO()
    mido.MidiFile(path).save(file=out)
    return out.tell()


def main_job(path: Path) -> tuple[int, float]:
    """Do the whole main job on *path*, in memory; return its hits and the seconds of its music."""
    from handgroove.groove.read.smf import read_groove
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
    from handgroove.groove.read.smf import read_groove
    from handgroove.job import translate

    groove = read_groove(path)
    length, chart = groove.timeline.end_tick, _chart()
    costs = []
    for times in REPEATS:
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
        + ", ".join(f"{times}x {cost:.0f} us a hit" for times, cost in zip(REPEATS, costs, strict=True))
    )
