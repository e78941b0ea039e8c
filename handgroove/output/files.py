"""Writing files whole or not at all, and never over a file of the user's unless asked."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

from handgroove.errors import HandgrooveError, Problem


def write_whole(path: Path, data: bytes | str) -> Path:
    """Write *data* to *path* through a temporary file beside it, so that a failure leaves what was there."""
    if isinstance(data, str):
        data = data.encode("utf-8")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            Path(name).chmod(0o644)
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise HandgrooveError(
            Problem(
                str(path), f"cannot be written ({error.strerror})", remedy="choose another place to write to"
            )
        ) from None
    return path


def write_files(folder: Path, files: Mapping[str, bytes | str]) -> list[Path]:
    """Write *files* (what each holds, by name) into *folder*, all of them or none, and return where they are."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".writing-", dir=folder) as made:
            for name, held in files.items():
                Path(made, name).write_bytes(held.encode("utf-8") if isinstance(held, str) else held)
            return [Path(made, name).replace(folder / name) for name in files]
    except OSError as error:
        with contextlib.suppress(OSError):  # what was there before stays
            folder.rmdir()
        problem = Problem(
            str(folder), f"cannot be written ({error.strerror})", remedy="choose another with --out"
        )
        raise HandgrooveError(problem) from None


def check_free(paths: list[Path], *, force: bool) -> None:
    """Raise HandgrooveError for every one of *paths* that exists, unless *force*."""
    taken = [path for path in paths if path.exists()]
    if taken and not force:
        remedy = "choose another place to write to, or say --force to write over it"
        # The remedy is the same for all: once, at the end, is enough.
        raise HandgrooveError(
            [
                Problem(
                    str(path),
                    "is there already, and is left as it is",
                    remedy=remedy if path is taken[-1] else "",
                )
                for path in taken
            ]
        )
