"""``handgroove`` with the garbage collector left on, to measure what it costs."""

from __future__ import annotations

import gc

from handgroove import clock
from handgroove.live import session


def _punctual_but_collecting() -> list[str]:
    refused = clock.be_punctual()
    gc.enable()
    return refused


def main() -> None:
    """Run the command with the collector on."""
    from handgroove.cli import main as command

    session.be_punctual = _punctual_but_collecting  # type: ignore[attr-defined]
    command()


if __name__ == "__main__":
    main()
