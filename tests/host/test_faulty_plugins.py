"""Somebody's package with every fault there is: the song is played all the same, and one line tells of it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from threading import Thread

import pytest

from handgroove.groove.kit import Family
from handgroove.harmony.chart import parse_chart
from handgroove.host import fence, registry
from handgroove.host.fence import Fence
from handgroove.host.registry import find_translators
from handgroove.host.watch import MachineTimer, Watch
from handgroove.job import translate
from handgroove.live.shell.prepare import prepare_pattern
from handgroove.part import Part
from handgroove.patterns import Pattern, read_pattern
from tests.live.stage_rig import Rig
from tests.plugins.packages import lay_out, write_info

CHART = parse_chart("| Am7 | Fmaj7 |")
PACKAGE = "faulty-plugin 1.0"
FAULTS = [
    ("raises", "ValueError: no idea what to play"),
    ("never returns", "did not come back within"),
    ("never ends", "expected at most 32 strikes"),
    ("slow", "failed and was bypassed"),
    ("leaves", "tried to end the program"),
    ("property", "LookupError: strikes? which strikes?"),
    ("raising constructor", "OSError: my licence is missing"),
    ("endless constructor", "did not come back within"),
    ("wrong signature", "expected strikes(self, hit, moment), got strikes(self, drum, now)"),
    ("raises late", "KeyboardInterrupt"),
    ("bad figure", "ZeroDivisionError: no figure"),
    ("bad import", "it does not load (RuntimeError: this machine is not good enough for me)"),
    ("endless import", "it does not load (did not come back within"),
]
RUBBISH = [
    ("nothing", "expected strikes or a LeaveOut, got None"),
    ("text", "expected a Strike, got 'C'"),
    ("too high", "pitches: "),
    ("half a key", "pitches: "),
    ("no keys", "pitches: "),
    ("six fingers", "fingers: "),
    ("silent", "velocity: "),
    ("third hand", "hand: "),
    ("no role", "role: "),
    ("endless", "hold_ticks: "),
    ("before the music", "delay_ticks: "),
    ("not a number", "weight: "),
    ("a flood", "at most 32 strikes"),
    ("no reason", "a LeaveOut with its reason in words"),
]
CASES = [(name, "", said) for name, said in FAULTS] + [("rubbish", kind, said) for kind, said in RUBBISH]


@pytest.fixture
def installed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Install the package in this process, with shorter patience; return the folder that its metadata are in."""
    monkeypatch.syspath_prepend(str(lay_out(tmp_path, "faulty_plugin")))
    monkeypatch.syspath_prepend(str(tmp_path))
    monkeypatch.setattr(registry, "LOAD_SEC", 0.3)
    monkeypatch.setattr(registry, "MAKE_SEC", 0.3)
    monkeypatch.setattr(fence, "AT_THE_DESK", replace(fence.AT_THE_DESK, hang_sec=0.3, credit_sec=0.1))
    forget()
    yield tmp_path
    forget()


def forget() -> None:
    """Let the packages be looked through anew."""
    registry._find_entries.cache_clear()
    registry._load.cache_clear()


def pattern_with(name: str, kind: str, folder: Path) -> Pattern:
    """Return a pattern that gives the snare to the translator called *name*."""
    return read_pattern(str(write_pattern(name, kind, folder)))


def write_pattern(name: str, kind: str, folder: Path) -> Path:
    """Write such a pattern; return where."""
    path = folder / "faulty.yaml"
    settings = f"    settings: {{kind: {kind}}}\n" if kind else ""
    path.write_text(
        "title: Faulty\nsteps per beat: 2\n"
        "groove:\n  kick: X...X...\n  snare: ..X...X.\n  closed hat: xxxxxxxx\n"
        f"hands:\n  - take: snare\n    use: {name}\n{settings}"
        "  - take: closed hat\n    use: comping\n    settings: {style: every hat}\n"
    )
    return path


def sounding(part: Part) -> list[tuple[int, int]]:
    """Return the (tick, pitch) of the notes that stand for kicks and hats."""
    snares = {index for index, hit in enumerate(part.groove.hits) if hit.piece.family is Family.SNARE}
    return [(note.tick, note.pitch) for note in part.notes if not snares.intersection(note.hits)]


def told_of(part: Part) -> list[str]:
    """Return the part's lines about the package."""
    return [line for line in part.messages if PACKAGE in line]


@pytest.mark.parametrize(("name", "kind", "said"), CASES)
def test_offline_the_song_is_played_and_one_line_tells(
    name: str, kind: str, said: str, installed: Path
) -> None:
    """Kicks and hats sound as they do with the snare left out; one line names plugin, package and fault."""
    pattern = pattern_with(name, kind, installed)
    part = translate(pattern.groove(2), CHART, pattern)
    without = pattern_with("nothing", "", installed)
    assert sounding(part) == sounding(translate(without.groove(2), CHART, without))
    assert len(sounding(part)) > 8
    (line,) = told_of(part)
    assert repr(name) in line
    assert said in line
    assert "\n" not in line


@pytest.mark.parametrize(("name", "kind", "said"), CASES)
def test_live_the_rest_plays_on_and_one_line_tells(name: str, kind: str, said: str, installed: Path) -> None:
    """On stage the kicks and hats are answered, the player is told once, and every snare is accounted for."""
    stage = Fence(MachineTimer(), watch=Watch())
    playable = prepare_pattern(pattern_with(name, kind, installed), stage)
    rig = Rig(extra=[playable])
    rig.far.hear(rig.engine.start(0.0), 0.0)
    rig.advance(3.9)
    accounts = rig.engine.accounts
    told = [line for line in accounts.recent(60.0) if PACKAGE in line]
    if name == "bad figure":  # live, a groove's own snares are no figure that is known ahead
        assert not told
    else:
        (line,) = told
        assert repr(name) in line
        assert said in line
    assert accounts.answered == 24 - 4
    assert sum(count for (subject, _), count in accounts.left_out.items() if subject == "snare") == 4
    rig.close()
    assert not rig.far.sounding


def test_in_a_thread_an_endless_plugin_is_bypassed_too(installed: Path) -> None:
    """A song that is put together outside the main thread gets its line and its notes as well."""
    pattern = pattern_with("never returns", "", installed)
    parts: list[Part] = []
    thread = Thread(target=lambda: parts.append(translate(pattern.groove(2), CHART, pattern)), daemon=True)
    thread.start()
    thread.join(30)
    (part,) = parts
    assert "did not come back within" in told_of(part)[0]
    assert len(sounding(part)) > 8


def test_a_second_translator_of_one_name_is_refused_by_name(installed: Path) -> None:
    """A stranger's "low note" replaces nothing: ours plays, and a line names both packages and the remedy."""
    write_info(installed, "twin-plugin", "2.0", "low note = faulty_plugin:LowNote")
    forget()
    found, wrong = find_translators()
    (ours,) = [item for item in found if item.name == "low note"]
    assert ours.is_own
    (problem,) = [problem for problem in wrong if "low note" in problem.place]
    said = str(problem)
    assert "twin-plugin 2.0" in said
    assert ours.origin in said
    assert "uninstall one of the two" in said
    pattern = pattern_with("prints", "", installed)
    part = translate(pattern.groove(2), CHART, pattern)
    assert len([line for line in part.messages if "twin-plugin 2.0" in line]) == 1
    assert {note.pitch for note in part.notes if note.role.value == "kick"} == {33, 29}


def test_of_two_strangers_the_first_by_package_is_kept(installed: Path) -> None:
    """Which of two packages has a name does not depend on the order in which they were installed."""
    write_info(installed, "a-late-one", "1.1", "prints = faulty_plugin:Prints")
    forget()
    found, wrong = find_translators()
    assert [item.origin for item in found if item.name == "prints"] == ["a-late-one 1.1"]
    (problem,) = [problem for problem in wrong if "'prints'" in problem.place]
    assert PACKAGE in problem.place
    assert "'prints' is the translator of a-late-one 1.1" in problem.text


def test_a_package_seen_twice_is_no_double(installed: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same package on the path twice, as in an editable install, is one package."""
    again = installed / "again"
    lay_out(again, "faulty_plugin")
    monkeypatch.syspath_prepend(str(again))
    forget()
    _, wrong = find_translators()
    assert not [problem for problem in wrong if "its name is taken" in problem.text]


def test_packages_are_looked_through_once(installed: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Making a pattern's translators again reads no metadata and loads nothing."""
    pattern = pattern_with("prints", "", installed)
    part = translate(pattern.groove(2), CHART, pattern)
    monkeypatch.setattr(registry, "entry_points", None)
    monkeypatch.setattr(registry, "check_translator", None)
    assert translate(pattern.groove(2), CHART, pattern).notes == part.notes


def test_what_a_plugin_prints_stays_out_of_the_results(tmp_path: Path) -> None:
    """--json stays JSON while a plugin talks; the list of translators tells of those that are refused."""
    path = os.pathsep.join([str(tmp_path), str(lay_out(tmp_path, "faulty_plugin"))])
    write_pattern("prints", "", tmp_path)

    def run(*arguments: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", "handgroove", *arguments]
        return subprocess.run(
            command,
            env={**os.environ, "PYTHONPATH": path},
            cwd=tmp_path,
            capture_output=True,
            text=True,
            check=False,
        )

    ran = run("translate", "faulty.yaml", "--bars", "2", "--chart", "| C |", "--json")
    assert ran.returncode == 0, ran.stderr
    assert json.loads(ran.stdout)["kept"]["snare"] == {"sounding": 4, "of": 4}
    assert "look at me" in ran.stderr
    listed = run("translators", "--json")
    assert listed.returncode == 1
    assert "prints" in {row["name"] for row in json.loads(listed.stdout)}
    for name in ("bad import", "endless import", "wrong signature"):
        assert f"translator {name!r} of {PACKAGE}" in listed.stderr
