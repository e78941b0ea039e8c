"""Finding translators by entry point, checking them at load, and making them with their settings.

A wrong plugin is refused by name, with what was found and what was expected, before a note sounds.
"""

from __future__ import annotations

import inspect
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.metadata import EntryPoint, entry_points
from typing import Any

from handgroove.errors import HandgrooveError, Problem, did_you_mean

GROUP = "handgroove.translators"
_METHODS = {"strikes": ("hit", "moment"), "figure": ("hits", "moments")}


@dataclass(frozen=True, slots=True)
class Found:
    """A translator that loaded: its *name*, class, *kind* (``hit`` or ``figure``) and where it came *from*."""

    name: str
    summary: str
    kind: str
    origin: str
    maker: type[Any]


def check_translator(name: str, maker: Any) -> list[str]:  # a plugin may be anything
    """Return what is wrong with the plugin class *maker* (``expected ..., got ...``); nothing when it is right."""
    from handgroove.host.translator import Settings

    if not inspect.isclass(maker):
        return [f"expected a class, got {maker!r}"]
    wrong = []
    for attribute in ("name", "summary"):
        value = getattr(maker, attribute, None)
        if not isinstance(value, str):
            wrong.append(f"expected a class attribute {attribute!r} that is text, got {value!r}")
        elif attribute == "name" and value != name:
            wrong.append(f"expected its attribute 'name' to be its entry point's, {name!r}, got {value!r}")
    model = getattr(maker, "settings_model", None)
    if not (inspect.isclass(model) and issubclass(model, Settings)):
        wrong.append(
            f"expected 'settings_model' to be a subclass of handgroove.host.translator.Settings, got {model!r}"
        )
    methods = [method for method in _METHODS if callable(getattr(maker, method, None))]
    if len(methods) != 1:
        got = " and ".join(methods) or "neither"
        wrong.append(
            f"expected one of the methods strikes(self, hit, moment) or figure(self, hits, moments), got {got}"
        )
    for method in methods:
        got_names = tuple(inspect.signature(getattr(maker, method)).parameters)[1:]
        if got_names != _METHODS[method]:
            want = ", ".join(("self", *_METHODS[method]))
            wrong.append(f"expected {method}({want}), got {method}({', '.join(('self', *got_names))})")
    return wrong


def _origin(entry: EntryPoint) -> str:
    return f"{entry.dist.name} {entry.dist.version}" if entry.dist else entry.value


def _load(entry: EntryPoint) -> Found | Problem:
    place = f"translator {entry.name!r} of {_origin(entry)}"
    try:
        maker = entry.load()
    except Exception as error:  # somebody else's import may fail in any way
        return Problem(
            place,
            f"it does not load ({type(error).__name__}: {error})",
            remedy="tell its author, or uninstall it",
        )
    wrong = check_translator(entry.name, maker)
    if wrong:
        return Problem(place, "; ".join(wrong), remedy="tell its author, or uninstall it")
    kind = "hit" if hasattr(maker, "strikes") else "figure"
    return Found(entry.name, maker.summary, kind, _origin(entry), maker)


@cache
def _entries() -> dict[str, EntryPoint]:
    return {
        entry.name: entry
        for entry in sorted(entry_points(group=GROUP), key=lambda entry: (entry.name, entry.value))
    }


def find_translators() -> tuple[list[Found], list[Problem]]:
    """Return every translator that is installed and right, by name, and a problem for each that is wrong."""
    loaded = [_load(entry) for entry in _entries().values()]
    return [item for item in loaded if isinstance(item, Found)], [
        item for item in loaded if isinstance(item, Problem)
    ]


def find_translator(name: str, place: str = "") -> Found:
    """Return the translator called *name*; raise HandgrooveError, at *place*, where there is none or it is wrong."""
    entry = _entries().get(name)
    if entry is None:
        known = sorted(_entries())
        hint = did_you_mean(name, known) or f"there are: {', '.join(known)}"
        raise HandgrooveError(Problem(place, f"expected the name of a translator, got {name!r}", remedy=hint))
    loaded = _load(entry)
    if isinstance(loaded, Problem):
        raise HandgrooveError(loaded)
    return loaded


def make_translator(name: str, settings: Mapping[str, object], place: str = "") -> Any:
    """Make translator *name* with *settings*; raise HandgrooveError, at *place*, for what is wrong in them."""
    from pydantic import ValidationError

    found = find_translator(name, place)
    try:
        return found.maker(found.maker.settings_model.model_validate(dict(settings)))
    except ValidationError as error:
        fields = list(found.maker.settings_model.model_fields)
        raise HandgrooveError([_explain(place, name, item, fields) for item in error.errors()]) from None


def _explain(place: str, name: str, item: Any, fields: list[str]) -> Problem:
    setting = ".".join(str(step) for step in item["loc"])
    if item["type"] == "extra_forbidden":
        hint = did_you_mean(setting, fields) or f"it has: {', '.join(fields) or 'no settings'}"
        return Problem(place, f"{name}: expected one of its settings, got {setting!r}", remedy=hint)
    return Problem(place, f"{name}: {setting}: {item['msg']}, got {item['input']!r}")
