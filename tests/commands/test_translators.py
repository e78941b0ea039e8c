"""``handgroove translators`` and what any command does with --help."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from handgroove.cli import app
from tests.commands.running import run


def test_translators_are_listed_with_what_they_do() -> None:
    """Each built-in stands in the list, for eyes and for programs."""
    assert "two-handed chord" in run("translators").out
    rows = {row["name"]: row for row in json.loads(run("translators", "--json").out)}
    assert rows["comping"]["kind"] == "hit"
    assert "fastest" in rows["comping"]["settings"]


def test_one_translator_shows_its_settings() -> None:
    """A name shows the settings with what they mean; a wrong one gets the nearest."""
    assert "ghost notes" in run("translators", "thumb reply").out
    wrong = run("translators", "thumb replay")
    assert wrong.code == 1
    assert "did you mean 'thumb reply'" in wrong.err


def commands() -> list[str]:
    """Return the names of all commands."""
    import typer

    group = typer.main.get_command(app)
    return sorted(group.commands)  # type: ignore[attr-defined]


@pytest.mark.parametrize("command", commands())
def test_every_command_has_help(command: str) -> None:
    """--help tells what the command does."""
    ran = run(command, "--help")
    assert ran.code == 0
    assert len(ran.out) > 200


def test_importing_the_package_and_asking_for_help_load_nothing_heavy() -> None:
    """Neither imports numpy, pydantic, mido or rich."""
    heavy = {"numpy", "pydantic", "mido", "rich", "yaml"}
    code = f"""
import sys, handgroove
assert not set(sys.modules) & {heavy}, "import handgroove"
import handgroove.cli
assert not set(sys.modules) & {heavy}, set(sys.modules) & {heavy}
"""
    subprocess.run([sys.executable, "-c", code], check=True)
