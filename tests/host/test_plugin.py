"""Somebody else's package of translators: found when installed, used by a pattern, refused when wrong."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.plugins.packages import lay_out


@pytest.fixture
def installed(tmp_path: Path) -> dict[str, str]:
    """Lay the plugin's package out as an installer would (.ci/run installs it for real) and return the environment."""
    code = lay_out(tmp_path, "cowbell_plugin", "broken bell = cowbell_plugin:nothing")
    return {**os.environ, "PYTHONPATH": os.pathsep.join([str(tmp_path), str(code)])}


def handgroove(
    environment: dict[str, str], *arguments: str, folder: Path | None = None
) -> subprocess.CompletedProcess[str]:
    """Run the command in an environment of its own."""
    command = [sys.executable, "-m", "handgroove", *arguments]
    return subprocess.run(command, env=environment, cwd=folder, capture_output=True, text=True, check=False)


def test_it_stands_in_the_list_and_a_wrong_one_is_named(installed: dict[str, str]) -> None:
    """The plugin is listed with its package; a broken entry point is named on stderr and ends with 1."""
    ran = handgroove(installed, "translators", "--json")
    rows = {row["name"]: row["from"] for row in json.loads(ran.stdout)}
    assert rows["cowbell top"] == "handgroove-cowbell 1.0"
    assert ran.returncode == 1
    assert "translator 'broken bell' of handgroove-cowbell 1.0: it does not load" in ran.stderr


def test_a_pattern_can_use_it(installed: dict[str, str], tmp_path: Path) -> None:
    """A pattern that says ``use: cowbell top`` plays its notes."""
    (tmp_path / "bells.yaml").write_text(
        "title: Bells\ntempo: 100\nmetre: 4/4\nsteps per beat: 1\n"
        "groove:\n  cowbell: x x x x\n"
        "hands:\n  - take: cowbell\n    use: cowbell top\n    settings: {octaves: 2}\n"
    )
    ran = handgroove(
        installed, "translate", "bells.yaml", "--bars", "1", "--chart", "| C |", "--json", folder=tmp_path
    )
    assert ran.returncode == 0, ran.stderr
    told = json.loads(ran.stdout)
    assert told["notes"]["count"] == 4
    assert told["kept"]["hand percussion"] == {"sounding": 4, "of": 4}
