"""The laws of meant strokes over a folder of takes: ``python -m tests.tools.laws FOLDER``.

    --every N     only every Nth take, in order of name
    --chart TEXT  over this chart (the spelling and fill laws have charts of their own)
    --law NAME    only this law; may be said again

One table: for each law how many takes were tried, held and failed (those that failed with a doubt told stand apart),
the cases looked at, failed and exempt by the law's own words, and the worst takes. Two processes at most.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from multiprocessing import get_context
from pathlib import Path

from handgroove import read_groove
from handgroove.errors import HandgrooveError
from tests.laws.judge import LAWS
from tests.laws.verdict import CHART, Take, Verdict
from tests.tools.bench.common import find_files

PROCESSES = 2  # machines are shared
WORST = 3  # takes shown for each law


@dataclass(frozen=True, slots=True)
class Row:
    """What all takes came to under one *law*; *worst* are (faults, take, first fault), most first."""

    law: str
    tried: int
    holds: int
    doubts: int
    cases: int
    failed: int
    exempt: int
    worst: tuple[tuple[int, str, str], ...]

    @property
    def fails(self) -> int:
        """Return how many takes broke the law without a word about it."""
        return self.tried - self.holds - self.doubts


def judge_file(path: Path, chart: str, laws: Sequence[str]) -> tuple[str, list[Verdict]]:
    """Judge the take at *path* by *laws*; one that crashes is a fault of that law."""
    try:
        take = Take(path.stem, read_groove(path), chart)
    except HandgrooveError as error:
        return path.name, [Verdict(law, 1, (f"not read: {error}",)) for law in laws]
    return path.name, [judge_safely(take, law) for law in laws]


def judge_safely(take: Take, law: str) -> Verdict:
    """Judge *take* by *law*, telling a crash as a fault."""
    try:
        return LAWS[law](take)
    except Exception as error:  # the table must be finished whatever the program does today
        return Verdict(law, 1, (f"crash: {type(error).__name__}: {error}",))


def tabulate(judged: Sequence[tuple[str, list[Verdict]]]) -> list[Row]:
    """Return one row for each law."""
    by_law: dict[str, list[tuple[str, Verdict]]] = defaultdict(list)
    for name, verdicts in judged:
        for verdict in verdicts:
            if verdict.cases:
                by_law[verdict.law].append((name, verdict))
    rows = []
    for law, pairs in by_law.items():
        broken = [(len(v.faults), name, v.faults[0]) for name, v in pairs if not v.holds]
        rows.append(
            Row(
                law,
                len(pairs),
                sum(v.holds for _, v in pairs),
                sum(bool(v.faults and v.doubt) for _, v in pairs),
                sum(v.cases for _, v in pairs),
                sum(len(v.faults) for _, v in pairs),
                sum(v.exempt for _, v in pairs),
                tuple(sorted(broken, key=lambda one: (-one[0], one[1]))[:WORST]),
            )
        )
    return rows


def format_table(rows: Sequence[Row]) -> str:
    """Return the table in words and numbers."""
    head = f"{'law':<10}{'takes':>6}{'hold':>6}{'fail':>6}{'doubt':>6}  {'cases':>7}{'failed':>7}{'exempt':>7}  worst"
    lines = [head]
    for row in rows:
        lines.append(
            f"{row.law:<10}{row.tried:>6}{row.holds:>6}{row.fails:>6}{row.doubts:>6}"
            f"  {row.cases:>7}{row.failed:>7}{row.exempt:>7}  "
            + ((row.worst and f"{row.worst[0][0]}: {row.worst[0][1]}: {row.worst[0][2]}") or "")
        )
        lines += [f"{'':<57}{count}: {name}: {fault}" for count, name, fault in row.worst[1:]]
    return "\n".join(lines)


def main(arguments: Sequence[str] | None = None) -> int:
    """Judge the folder that *arguments* name, and print the table; return 0 where every law holds, else 1."""
    parser = argparse.ArgumentParser(prog="python -m tests.tools.laws", description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--every", type=int, default=1)
    parser.add_argument("--chart", default=CHART)
    parser.add_argument("--law", action="append", choices=list(LAWS))
    said = parser.parse_args(arguments)
    files = find_files(said.folder)[:: max(1, said.every)]
    work = partial(judge_file, chart=said.chart, laws=said.law or list(LAWS))
    with get_context("spawn").Pool(min(PROCESSES, len(files))) as pool:
        judged = list(pool.imap(work, files))
    rows = tabulate(judged)
    print(f"{len(files)} takes, {said.chart}")
    print(format_table(rows))
    return 0 if all(row.fails == 0 for row in rows) else 1


if __name__ == "__main__":
    raise SystemExit(main())
