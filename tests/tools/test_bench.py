"""The bench runs, and measures what it says; no time is asserted here."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tools.bench import NAMES, find_bench
from tests.tools.bench.__main__ import main
from tests.tools.bench.common import best_of

DEMO = Path(__file__).parents[2] / "demo"


def test_every_bench_is_there(capsys: pytest.CaptureFixture[str]) -> None:
    """Each name has its function, and a wrong one is refused with the nearest."""
    assert all(find_bench(name) for name in NAMES)
    assert main(["harmny"]) == 2
    assert "did you mean 'harmony'" in capsys.readouterr().err


def test_the_main_bench_prints_the_ratio(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """It tells hits a second, the floor, the ratio, memory and growth, and passes over what is no groove."""
    monkeypatch.setattr("tests.tools.bench.main_job.ROUNDS", 1)
    monkeypatch.setattr("tests.tools.bench.main_job.REPEATS", (1, 2))
    (tmp_path / "a.mid").write_bytes((DEMO / "lantern-street-drums.mid").read_bytes())
    (tmp_path / "b.mid").write_bytes(b"no music")
    assert main(["main", str(tmp_path)]) == 0
    ran = capsys.readouterr()
    for words in ("main job over 1 files, 315 hits", "ratio to the floor", "peak memory", "growth"):
        assert words in ran.out
    assert "passed over" in ran.err


def test_benches_that_need_a_folder_say_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without a folder, or with an empty one, the command ends with 2 and a sentence."""
    assert main(["hands"]) == 2
    assert "needs a folder" in capsys.readouterr().err
    assert main(["main", str(tmp_path)]) == 2


def test_jobs_take_turns() -> None:
    """Each round runs each job once, in order."""
    ran: list[str] = []
    best_of(2, lambda: ran.append("a"), lambda: ran.append("b"))
    assert ran == ["a", "b", "a", "b"]
