"""How musical the parts of a folder of takes are: every measure, take by take where it is worst, and in all."""

from __future__ import annotations

from multiprocessing import get_context
from pathlib import Path

from tests.tools.bench.common import find_files
from tests.tools.music import MATCHES, MEASURES
from tests.tools.music.heard import Count, Heard

PROCESSES = 2  # machines are shared
WORST = 3  # takes shown for each measure


def count_take(path: Path) -> dict[str, Count]:
    """Return every measure of the take at *path*."""
    heard = Heard.of(path)
    return {name: measure(heard) for name, (measure, _) in MEASURES.items()}


def bench_music(folder: Path) -> None:
    """Print every measure over the takes in *folder*: found of how many, the aim, and the worst takes."""
    files = find_files(folder)
    with get_context("spawn").Pool(min(PROCESSES, len(files))) as pool:
        counted = list(zip([path.stem for path in files], pool.imap(count_take, files), strict=True))
    for name, (_, aim) in MEASURES.items():
        counts = [(take, counts[name]) for take, counts in counted]
        found, of = sum(count.found for _, count in counts), sum(count.of for _, count in counts)
        print(f"{name:<44}{found:>8} of {of:<8}{found / max(1, of):>7.1%}  aim: {aim}")
        worst = sorted((pair for pair in counts if pair[1].worst), key=lambda pair: -pair[1].found)[:WORST]
        for take, count in worst:
            print(f"{'':<8}{take}: {count.found} of {count.of}: {count.worst}")
    for name, (match, aim) in MATCHES.items():
        matched = match([Heard.of(path) for path in files])
        print(f"{name:<44}{matched.found:g} of {matched.of:g} (chance {matched.chance:g})  aim: {aim}")
        if matched.told:
            print(f"{'':<8}{matched.told}")
