"""The demo's files are what their scripts make."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

DEMO = Path(__file__).parents[2] / "demo"


@pytest.mark.parametrize("name", ["lantern_street", "lantern_street_band"])
def test_a_demo_script_gives_the_same_bytes_again(name: str, tmp_path: Path) -> None:
    """Run elsewhere, the script writes the file that is shipped, byte for byte."""
    for script in DEMO.glob("*.py"):
        shutil.copy(script, tmp_path)
    subprocess.run([sys.executable, str(tmp_path / f"{name}.py")], check=True, timeout=60)
    (made,) = tmp_path.glob("*.mid")
    assert made.read_bytes() == (DEMO / made.name).read_bytes()
