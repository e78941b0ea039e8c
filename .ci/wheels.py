"""Prove that the base dependencies install without a compiler on Python 3.11 to 3.14, on Linux, macOS and Windows."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

from pip._vendor.packaging.requirements import Requirement

PYTHONS = ("3.11", "3.12", "3.13", "3.14")
# Several platform tags a system, since packages differ in the oldest release that they support.
SYSTEMS = {
    "Linux": ("manylinux2014_x86_64", "manylinux_2_28_x86_64", "manylinux_2_17_x86_64"),
    "macOS": ("macosx_11_0_arm64", "macosx_12_0_arm64", "macosx_13_0_arm64", "macosx_14_0_arm64"),
    "Windows": ("win_amd64",),
}


def base_dependencies(python: str) -> list[str]:
    """Return the base dependencies whose markers hold for *python* (pip would evaluate them for itself)."""
    listed = tomllib.loads(Path("pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    return [
        f"{item.name}{item.specifier}"
        for item in map(Requirement, listed)
        if item.marker is None or item.marker.evaluate({"python_version": python})
    ]


def has_wheels(python: str, platforms: tuple[str, ...]) -> subprocess.CompletedProcess[str]:
    """Download the base dependencies as wheels only, for one Python on one system."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "pip", "download", "-q", "--only-binary=:all:", "--dest", folder]
        command += ["--python-version", python, "--implementation", "cp"]
        command += [argument for platform in platforms for argument in ("--platform", platform)]
        return subprocess.run(
            [*command, *base_dependencies(python)], capture_output=True, text=True, check=False
        )


def main() -> int:
    """Try every combination; return how many have no wheels."""
    failed = 0
    for python in PYTHONS:
        for system, platforms in SYSTEMS.items():
            ran = has_wheels(python, platforms)
            told = "wheels for all" if ran.returncode == 0 else f"MISSING\n{ran.stderr.strip()}"
            print(f"  Python {python} on {system}: {told}", flush=True)
            failed += ran.returncode != 0
    return failed


if __name__ == "__main__":
    sys.exit(main())
