"""Running the command in this process, as a shell would."""

from __future__ import annotations

import contextlib
import io
import os
import sys
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

from handgroove.cli import main


@dataclass(frozen=True, slots=True)
class Ran:
    """What a command printed, and its exit code."""

    code: int
    out: str
    err: str


def run(*arguments: str | Path, folder: Path | None = None) -> Ran:
    """Run ``handgroove`` with *arguments*, in *folder*."""
    out, err, code = io.StringIO(), io.StringIO(), 0
    before = Path.cwd()
    try:
        if folder:
            os.chdir(folder)
        with (
            mock.patch.object(sys, "argv", ["handgroove", *map(str, arguments)]),
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
        ):
            try:
                main()
            except SystemExit as stop:
                code = int(stop.code or 0)
    finally:
        os.chdir(before)
    return Ran(code, out.getvalue(), err.getvalue())
