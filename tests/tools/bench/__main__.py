"""``python -m tests.tools.bench NAME [FOLDER]``."""

from __future__ import annotations

import sys
from pathlib import Path

from handgroove.collector import collect_rarely
from handgroove.errors import HandgrooveError
from tests.tools.bench import NAMES, run


def main(words: list[str]) -> int:
    """Run the bench that *words* name; return the exit code."""
    if not 1 <= len(words) <= 2:
        print(
            f"python -m tests.tools.bench NAME [FOLDER], with NAME one of {', '.join(NAMES)}", file=sys.stderr
        )
        return 2
    collect_rarely()  # as the program does
    try:
        run(words[0], Path(words[1]) if len(words) > 1 else None)
    except HandgrooveError as error:
        print(error, file=sys.stderr)
        return error.exit_code
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
