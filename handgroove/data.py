"""Where the files that come with Handgroove are: in a checkout beside the package, in a wheel inside it."""

from __future__ import annotations

from pathlib import Path

from handgroove.errors import HandgrooveError

_PACKAGE = Path(__file__).resolve().parent


def data_folder(name: str) -> Path:
    """Return the folder *name* (``patterns``, ``demo``) that came with Handgroove."""
    for folder in (_PACKAGE / "_data" / name, _PACKAGE.parent / name):
        if folder.is_dir():
            return folder
    raise HandgrooveError(
        f"the folder {name!r} that comes with Handgroove is missing: install Handgroove again"
    )
