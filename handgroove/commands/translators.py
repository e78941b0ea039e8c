"""``handgroove translators``: what can turn a drum into something a hand plays."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from handgroove.errors import Problem
    from handgroove.host.registry import Found


def translators(
    name: Annotated[str, typer.Argument(help="Show one translator's settings.", show_default=False)] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Print for programs.")] = False,
) -> None:
    """List the translators that are installed, or show one with its settings.

    Examples:  handgroove translators  ·  handgroove translators comping
    """
    from handgroove.host.registry import find_translator, find_translators

    wrong: list[Problem] = []
    if name:
        found = [find_translator(name)]
    else:
        found, wrong = find_translators()
    if as_json:
        rows = [
            {
                "name": item.name,
                "kind": item.kind,
                "summary": item.summary,
                "from": item.origin,
                "settings": item.maker.settings_model.model_json_schema().get("properties", {}),
            }
            for item in found
        ]
        print(json.dumps(rows, indent=1, ensure_ascii=False))
    else:
        _print(found, show_settings=bool(name))
    for problem in wrong:
        print(problem, file=sys.stderr)
    if wrong:
        raise typer.Exit(1)


def _print(found: list[Found], show_settings: bool) -> None:
    from rich.console import Console
    from rich.table import Table

    console = Console(highlight=False)
    table = Table(box=None, pad_edge=False, header_style="dim")
    for title in ("name", "takes", "what it does", "from"):
        table.add_column(title, no_wrap=title == "name")
    for item in found:
        takes = "each hit, live too" if item.kind == "hit" else "whole figures; live, a pattern's own fills"
        table.add_row(item.name, takes, item.summary, item.origin)
    console.print(table)
    if not show_settings:
        return
    for setting, about in found[0].maker.settings_model.model_json_schema().get("properties", {}).items():
        choices = " or ".join(map(str, about["enum"])) if "enum" in about else about.get("type", "")
        console.print(
            f"  {setting.replace('_', ' ')} ({choices}; {about.get('default')}): {about.get('description', '')}",
            markup=False,
        )
