"""What can be wrong in a pattern file beyond its shape: rows that don't fill their bars, translators and settings.

These checks look at the file's own data, so that they speak even where something else in the file is wrong too.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from pydantic import ValidationError

from handgroove.errors import HandgrooveError, Problem
from handgroove.groove.read.rows import parse_rows
from handgroove.groove.read.steps import Grid
from handgroove.host.registry import Refused, look_up, read_settings
from handgroove.host.watch import PluginError
from handgroove.patterns.pattern_model import NOTHING, FillTime, PatternTime
from handgroove.yamlfile import Document
from handgroove.yamlfile.document import Loc
from handgroove.yamlfile.explain import explain_errors


def find_problems(document: Document) -> Iterable[Problem]:
    """Yield what is wrong with the rows, the takings and the translators of a pattern file."""
    if isinstance(document.value, dict):
        yield from _check_grooves(document, document.value)
        yield from _check_hands(document, document.value.get("hands"))


def name_settings(settings: dict[str, Any]) -> dict[str, Any]:
    """Return *settings* as their model names them: a space in a file's key is an underscore."""
    return {key.replace(" ", "_"): value for key, value in settings.items()}


# ---- rows ------------------------------------------------------------------------------------------------

_FILL_TIME = ("feel", "steps per beat")


def _check_grooves(document: Document, value: dict[str, Any]) -> Iterable[Problem]:
    measured = {key: value[key] for key in ("metre", *_FILL_TIME) if key in value}
    try:
        time = PatternTime.model_validate(measured)
    except ValidationError:
        return  # the model tells what is wrong with these; rows can't be measured by them
    yield from _check_blocks(document, value.get("groove"), time.grid(), ("groove",))
    fills = value.get("fills")
    for name, fill in fills.items() if isinstance(fills, dict) else ():
        if not isinstance(fill, dict):
            continue
        try:
            grid = time.grid(FillTime.model_validate({key: fill[key] for key in _FILL_TIME if key in fill}))
        except ValidationError:
            continue
        for text in grid.faults:
            yield document.problem(("fills", name, "steps per beat"), f"steps per beat: {text}")
        if not grid.faults:
            yield from _check_blocks(document, fill.get("groove"), grid, ("fills", name, "groove"))


def _check_blocks(document: Document, blocks: Any, grid: Grid, loc: Loc) -> Iterable[Problem]:
    numbered = (
        [((*loc, number), rows) for number, rows in enumerate(blocks)] if isinstance(blocks, list) else []
    )
    for place, rows in numbered or [(loc, blocks)]:
        if isinstance(rows, dict):
            texts = {name: text for name, text in rows.items() if isinstance(text, str)}
            for fault in parse_rows(texts, grid)[2]:
                yield document.problem(
                    (*place, fault.name),
                    f"{fault.name[:40]}: {fault.text}",
                    fault.remedy,
                    offset=fault.offset,
                    at_key=fault.at_name,
                )


# ---- hands -----------------------------------------------------------------------------------------------


def _check_hands(document: Document, hands: Any) -> Iterable[Problem]:
    taken: dict[str, int] = {}
    for number, entry in enumerate(hands if isinstance(hands, list) else ()):
        if not isinstance(entry, dict):
            continue
        take = entry.get("take")
        for place, name in enumerate(take if isinstance(take, list) else [take]):
            if isinstance(name, str) and name in taken:
                text = f"take: expected each name once, got {name[:40]!r}, which item {taken[name] + 1} takes already"
                yield document.problem(("hands", number, "take", place), text)
            elif isinstance(name, str):
                taken[name] = number
        if isinstance(entry.get("use"), str):
            yield from _check_translator(document, number, entry)


def _check_translator(document: Document, number: int, entry: dict[str, Any]) -> Iterable[Problem]:
    settings = entry.get("settings")
    if entry["use"] == NOTHING:
        if settings:
            yield document.problem(
                ("hands", number, "settings"), "settings: expected none beside 'use: nothing'"
            )
        return
    try:
        found = look_up(entry["use"])
    except HandgrooveError as error:
        for problem in error.problems:
            place = f"{problem.place}: " if problem.place else ""
            yield document.problem(("hands", number, "use"), f"use: {place}{problem.text}", problem.remedy)
        return
    if isinstance(found, Refused):
        return  # the song is played without it, and says so
    try:
        read_settings(found, name_settings(settings) if isinstance(settings, dict) else {})
    except ValidationError as error:
        model = found.maker.settings_model
        yield from explain_errors(error, document, model, ("hands", number, "settings"))
    except PluginError:
        return  # as above
