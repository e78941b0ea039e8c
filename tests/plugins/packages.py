"""Laying plugin packages out as an installer would, for tests (.ci/run installs one for real)."""

from __future__ import annotations

import tomllib
from pathlib import Path

PLUGINS = Path(__file__).parent


def lay_out(folder: Path, package: str, *more: str) -> Path:
    """Write the dist-info of tests/plugins/*package* into *folder*; return where its code is.

    *more* are further lines of its entry points.
    """
    project = tomllib.loads((PLUGINS / package / "pyproject.toml").read_text())["project"]
    entries = [f"{key} = {value}" for key, value in project["entry-points"]["handgroove.translators"].items()]
    write_info(folder, project["name"], project["version"], *entries, *more)
    return PLUGINS / package


def write_info(folder: Path, name: str, version: str, *entries: str) -> None:
    """Write the dist-info of a package called *name* into *folder*, with *entries* as its translators."""
    info = folder / f"{name.replace('-', '_')}-{version}.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n")
    (info / "entry_points.txt").write_text("\n".join(["[handgroove.translators]", *entries, ""]))
