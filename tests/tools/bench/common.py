"""What every bench shares: files, turns, memory."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

from handgroove.errors import WrongUseError


def find_files(folder: Path) -> list[Path]:
    """Return the MIDI files in *folder*, in order of name."""
    files = sorted(path for path in folder.rglob("*") if path.suffix.lower() in (".mid", ".midi"))
    if not files:
        raise WrongUseError(f"{folder}: expected a folder with MIDI files, found none")
    return files


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
