"""Speed and memory, measured: ``python -m tests.tools.bench NAME [FOLDER]``.

Never a timed test: machines are shared and noisy, so a bench prints ratios to a floor of the same run where it can.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from handgroove.errors import WrongUseError, did_you_mean

NAMES = (
    "main",
    "desk",
    "hands",
    "inspect",
    "grooves",
    "music",
    "figures",
    "harmony",
    "score",
    "sound",
    "live",
    "soak",
)
NEED_FOLDER = ("main", "hands", "inspect", "grooves", "music")


def find_bench(name: str) -> Callable[[Path], None]:
    """Return the bench called *name*; raise WrongUseError where there is none."""
    from tests.tools.bench import main_job, music, parts

    if name not in NAMES:
        hint = did_you_mean(name, NAMES)
        raise WrongUseError(f"expected one of the benches {', '.join(NAMES)}, got {name!r} {hint}".rstrip())
    bench: Callable[[Path], None] = getattr(
        {"main": main_job, "music": music}.get(name, parts), f"bench_{name}"
    )
    return bench


def run(name: str, folder: Path | None) -> None:
    """Run the bench called *name*, over *folder* where it needs one."""
    bench = find_bench(name)
    if folder is None and name in NEED_FOLDER:
        raise WrongUseError(f"the bench {name!r} needs a folder with drum MIDI files")
    bench(folder or Path())
