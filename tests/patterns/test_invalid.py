"""Wrong pattern files beside the exact messages that they must give.

Each ``invalid/NAME.yaml`` stands beside ``invalid/NAME.txt``. When a message changes on purpose, write the texts anew
with ``python -m tests.patterns.test_invalid`` and read every one of them.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from handgroove.errors import HandgrooveError
from handgroove.patterns import check_pattern
from handgroove.yamlfile import parse_document

FOLDER = Path(__file__).parent / "invalid"
FILES = sorted(FOLDER.glob("*.yaml"))


def complain(path: Path) -> str:
    """Return what is said of the wrong pattern file at *path*."""
    with pytest.raises(HandgrooveError) as caught:
        check_pattern(parse_document(path.read_bytes(), path.name), path.stem)
    return f"{caught.value}\n"


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_wrong_file_gives_exactly_its_message(path: Path) -> None:
    """Every problem is told at once, in file order, with place, expectation, excerpt and remedy."""
    assert complain(path) == path.with_suffix(".txt").read_text(encoding="utf-8")


def test_every_example_has_its_message() -> None:
    """No wrong file stands without its message and no message without its file."""
    assert [path.stem for path in FILES] == sorted(path.stem for path in FOLDER.glob("*.txt"))
    assert len(FILES) >= 20


if __name__ == "__main__":
    for file in FILES:
        file.with_suffix(".txt").write_text(complain(file), encoding="utf-8")
