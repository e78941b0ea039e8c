"""The bench runs, and measures what it says; no time is asserted here."""

from __future__ import annotations

from pathlib import Path

import pytest

from handgroove.bench import NAMES, find_bench
from handgroove.bench.common import best_of
from tests.commands.running import run

DEMO = Path(__file__).parents[1] / "demo"


def test_every_bench_is_there() -> None:
    """Each name has its function, and a wrong one is refused with the nearest."""
    assert all(find_bench(name) for name in NAMES)
    ran = run("bench", "harmny")
    assert ran.code == 2
    assert "did you mean 'harmony'" in ran.err


def test_the_main_bench_prints_the_ratio(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It tells hits a second, the floor, the ratio, memory and growth, and passes over what is no groove."""
    monkeypatch.setattr("handgroove.bench.main_job.ROUNDS", 1)
    monkeypatch.setattr("handgroove.bench.main_job.REPEATS", (1, 2))
    (tmp_path / "a.mid").write_bytes((DEMO / "lantern-street-drums.mid").read_bytes())
    (tmp_path / "b.mid").write_bytes(b"no music")
    ran = run("bench", "main", tmp_path)
    assert ran.code == 0, ran.err
    for words in ("main job over 1 files, 315 hits", "ratio to the floor", "peak memory", "growth"):
        assert words in ran.out
    assert "passed over" in ran.err


def test_benches_that_need_a_folder_say_so(tmp_path: Path) -> None:
    """Without a folder, or with an empty one, the command ends with 2 and a sentence."""
    assert "needs a folder" in run("bench", "hands").err
    assert run("bench", "main", tmp_path).code == 2


def test_jobs_take_turns() -> None:
    """Each round runs each job once, in order."""
    ran: list[str] = []
    best_of(2, lambda: ran.append("a"), lambda: ran.append("b"))
    assert ran == ["a", "b", "a", "b"]
