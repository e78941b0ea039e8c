"""The benches of single parts of the program: hands, harmony, score, sound, and the stage."""

from __future__ import annotations

from pathlib import Path
from time import perf_counter
from typing import TYPE_CHECKING

from tests.tools.bench.common import best_of, find_files

if TYPE_CHECKING:
    from handgroove.part import Part


def bench_hands(folder: Path) -> None:
    """Print how fast hands settle, and for three sizes, what survives of a folder of drumming."""
    from handgroove.groove.read.smf import read_groove
    from handgroove.hands.player import read_player
    from tests.tools.measure_hands import measure_guard, measure_hands, measure_settling

    for bars in (250, 500, 1000):
        count, sec = min((measure_settling(bars, perf_counter) for _ in range(3)), key=lambda row: row[1])
        print(f"settling and fingering {count} notes: {sec:.2f} s, {1e6 * sec / count:.0f} us a note")
    took = measure_guard(200, perf_counter)
    middle, late = took[len(took) // 2], took[len(took) * 99 // 100]
    print(f"the live guard, a strike: median {1e6 * middle:.0f} us, 99th percentile {1e6 * late:.0f} us")
    grooves = [read_groove(path) for path in find_files(folder)]
    for tally in measure_hands(grooves, [read_player(reach) for reach in ("octave", "ninth", "tenth")]):
        told = tally.as_dict()
        shares = ", ".join(f"{kind} {share:.1%}" for kind, share in told["kept"].items())  # type: ignore[attr-defined]
        print(
            f"{tally.player}: {tally.notes} notes, {tally.cant} that can't be played, {tally.strains} that strain"
        )
        print(f"  kept: {shares}")


def bench_harmony(_folder: Path) -> None:
    """Print how long voicing 64 bars, recognising a four-minute band, and answering live take."""
    from tests.tools.measure_harmony import measure_live, measure_recognition, measure_voicing

    print(
        f"voicing a 64-bar chart         {1e3 * min(measure_voicing(perf_counter) for _ in range(3)):.1f} ms"
    )
    print(f"recognising a 4-minute band    {min(measure_recognition(perf_counter) for _ in range(2)):.2f} s")
    live = measure_live(perf_counter)
    print(f"a chord live: median, p99      {1e3 * live.median_sec:.3f} ms, {1e3 * live.p99_sec:.3f} ms")


def bench_desk(_folder: Path) -> None:
    """Print how long a part of 64 bars takes, and how long again when one thing on its desk is changed."""
    from handgroove.desk.desk import Desk
    from handgroove.groove.know.selection import parse_selection
    from handgroove.hands.ease import Ease
    from handgroove.hands.player import read_player
    from handgroove.harmony.chart import parse_chart
    from handgroove.harmony.chord import parse_key
    from handgroove.patterns import read_pattern

    pattern = read_pattern("straight-eighths")
    groove = pattern.groove(64, fills=dict.fromkeys(range(8, 65, 8), pattern.fills[0].name))
    chart = parse_chart("| Am7 | Fmaj7 | C/E | G7sus4 G7 |")

    def make() -> Desk:
        desk = Desk(groove, chart, pattern)
        assert desk.part.notes
        return desk

    make()
    (sec,) = best_of(3, make)
    print(f"a desk of 64 bars              {1e3 * sec:.0f} ms, {1e6 * sec / len(groove.hits):.0f} us a hit")
    desk = make()
    changes: dict[str, dict[str, object]] = {
        "pick": {"picks": {"bar 8": 2}},
        "keep": {"keep": (parse_selection("snare"),)},
        "level": {"ease": Ease.EASIER},
        "player": {"player": read_player("octave")},
        "pattern": {"named_pattern": read_pattern("bossa-nova")},
        "key": {"key": parse_key("C")},
    }
    for name, change in changes.items():
        (sec,) = best_of(3, lambda change=change: desk.change(**change).part)  # type: ignore[misc]
        print(f"  {name} changed{'':{19 - len(name)}}{1e3 * sec:.0f} ms")


def bench_figures(_folder: Path) -> None:
    """Print how long five candidates for a fill of one bar take."""
    from handgroove.figures.plan import choose_figures, find_places
    from handgroove.groove.know.knowledge import know_groove
    from handgroove.harmony.chart import lay_chart, parse_chart
    from handgroove.patterns import read_pattern

    pattern = read_pattern("straight-eighths")
    groove = pattern.groove(5, fills={4: pattern.fills[0].name})
    known = know_groove(groove)
    harmony = lay_chart(parse_chart("| C | F | C | G7 | C |"), groove.timeline)

    def candidates() -> object:
        return [choice.candidates for choice in choose_figures(find_places(known, harmony), {}).choices]

    (sec,) = best_of(5, candidates)
    print(f"five candidates for a fill     {1e3 * sec:.1f} ms")


def bench_grooves(folder: Path) -> None:
    """Print how well grooves are known, against a folder's labels: fills, tempo with the tempo hidden, swing."""
    from tests.tools.measure_grooves import measure_grooves

    measure_grooves(folder, perf_counter)


def bench_inspect(folder: Path) -> None:
    """Print how much faster than real time a folder's grooves are read and known."""
    from handgroove.groove.know.knowledge import know_groove
    from handgroove.groove.read.smf import read_groove

    files = find_files(folder)
    music_sec = 0.0
    for path in files:
        timeline = read_groove(path).timeline
        music_sec += timeline.tick_to_sec(timeline.end_tick)
    (sec,) = best_of(2, lambda: [know_groove(read_groove(path)) for path in files])
    print(f"{len(files)} grooves known at          {music_sec / sec:,.0f} times real time")


def bench_score(_folder: Path) -> None:
    """Print how long each stage of a 64-bar score takes."""
    from tests.tools.measure_score import measure_score

    part = _long_part()
    measure_score(part, perf_counter)
    for stage, sec in measure_score(part, perf_counter).items():
        print(f"64-bar score, {stage:10}       {sec:.2f} s")


def bench_sound(_folder: Path) -> None:
    """Print how many times faster than it plays a part is recorded."""
    from tests.tools.measure_sound import find_speed

    part = _long_part()
    print(f"sound                          {max(find_speed(part) for _ in range(2)):,.0f} times real time")


def _long_part() -> Part:
    from handgroove.harmony.chart import parse_chart
    from handgroove.job import translate
    from handgroove.patterns import read_pattern

    pattern = read_pattern("straight-eighths")
    return translate(pattern.groove(64), parse_chart("| Am7 | Fmaj7 | C/E | G7sus4 G7 |"), pattern)


def bench_live(_folder: Path) -> None:
    """Print the stage's delays as ratios to a bare pass-through, on a JACK server; and the clock follower's error."""
    from tests.tools.stage import clock_in_error, measure_live, tempo_change_beats

    _print_all(measure_live())
    _print_all({"clock in, 1 ms jitter": dict(clock_in_error())})
    print(f"tempo change followed within {tempo_change_beats(100, 120):.1f} beats")


def bench_soak(_folder: Path) -> None:
    """Print what a simulated hour and five real minutes on JACK leave behind: stuck notes, lost hits, memory."""
    from tests.tools.stage import soak_hour, soak_jack

    _print_all(soak_hour())
    _print_all(soak_jack())


def _print_all(told: dict[str, object], indent: str = "") -> None:
    for name, value in told.items():
        if isinstance(value, dict):
            print(f"{indent}{name}")
            _print_all(value, indent + "  ")
        else:
            print(f"{indent}{name}: {value:.4g}" if isinstance(value, float) else f"{indent}{name}: {value}")
