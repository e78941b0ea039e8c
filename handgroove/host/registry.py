"""Finding translators by entry point, checking them at load, and making them with their settings.

A wrong plugin is refused by name, with what was found and what was expected, before a note sounds. A name has one
translator: our own before anybody else's, then the first by package; a second one of that name is refused. The
packages are looked through once in a process, and each translator is loaded once.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.metadata import Distribution, EntryPoint, entry_points
from types import MappingProxyType
from typing import Any

from handgroove.errors import HandgrooveError, Problem, did_you_mean
from handgroove.host.watch import PluginError, Watch

GROUP = "handgroove.translators"
LOAD_SEC = 5.0  # an import reads files, perhaps from a slow disk, and may bring numpy along
MAKE_SEC = 2.0  # making a translator reads its settings
_OWN_PACKAGE = "handgroove"
_METHODS = {"strikes": ("hit", "moment"), "figure": ("hits", "moments")}


@dataclass(frozen=True, slots=True)
class Found:
    """A translator that loaded: its *name*, class, *kind* (``hit`` or ``figure``) and where it came from.

    *is_own* says that it is Handgroove's own.
    """

    name: str
    summary: str
    kind: str
    origin: str
    maker: type[Any]
    is_own: bool = False


@dataclass(frozen=True, slots=True)
class Refused:
    """A translator that is not used: its *name*, the package that it came from, *why*, and the *remedy*."""

    name: str
    origin: str
    why: str
    remedy: str = "tell its author, or uninstall it"

    def __str__(self) -> str:
        """Return all of it in one line."""
        return f"translator {self.name!r} of {self.origin}: {self.why} ({self.remedy})"

    @property
    def problem(self) -> Problem:
        """Return it as a problem to be told."""
        return Problem(f"translator {self.name!r} of {self.origin}", self.why, remedy=self.remedy)


@dataclass(frozen=True, slots=True)
class _Entry:
    """An entry point, and the package (name and version) that has it."""

    point: EntryPoint
    origin: str
    is_own: bool


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


@cache
def _find_entries() -> tuple[Mapping[str, _Entry], tuple[Refused, ...]]:
    """Return the entry point of each name, and what is refused because its name is taken."""
    entries = sorted(
        map(_make_entry, entry_points(group=GROUP)),
        key=lambda entry: (not entry.is_own, entry.origin, entry.point.value),
    )
    chosen: dict[str, _Entry] = {}
    refused = []
    for entry in entries:
        name = entry.point.name
        first = chosen.setdefault(name, entry)
        if first is not entry and (first.origin, first.point.value) != (entry.origin, entry.point.value):
            why = f"its name is taken: {name!r} is the translator of {first.origin}"
            refused.append(Refused(name, entry.origin, why, "uninstall one of the two"))
    return MappingProxyType(dict(sorted(chosen.items()))), tuple(refused)


def _make_entry(point: EntryPoint) -> _Entry:
    package, version = _read_package(point.dist) if point.dist else ("", "")
    is_own = package == _OWN_PACKAGE and point.value.startswith(f"{_OWN_PACKAGE}.")
    return _Entry(point, f"{package} {version}" if package else point.value, is_own)


@cache
def _read_package(package: Distribution) -> tuple[str, str]:
    """Return the name and version of *package*, each empty where its metadata lack it; they are parsed but once."""
    metadata = package.metadata
    name, version = (metadata[key] if key in metadata else "" for key in ("Name", "Version"))  # noqa: SIM401 (its protocol has no get)
    return name, version


@cache
def _load(entry: _Entry) -> Found | Refused:
    name = entry.point.name
    try:
        if entry.is_own:
            return _read(entry)
        found: Found | Refused = Watch().run(LOAD_SEC, _read, entry)
        return found
    except PluginError as error:
        return Refused(name, entry.origin, f"it does not load ({error})")


def _read(entry: _Entry) -> Found | Refused:
    """Import what *entry* names and read what it says of itself."""
    name, maker = entry.point.name, entry.point.load()
    wrong = check_translator(name, maker)
    if wrong:
        return Refused(name, entry.origin, "; ".join(wrong))
    if not entry.is_own:
        maker.settings_model.model_json_schema()  # what a list of settings is made from must be there
    kind = "hit" if callable(getattr(maker, "strikes", None)) else "figure"
    return Found(name, str(maker.summary), kind, entry.origin, maker, entry.is_own)


def find_translators() -> tuple[list[Found], list[Problem]]:
    """Return every translator that is installed and right, by name, and a problem for each that is wrong."""
    entries, refused = _find_entries()
    loaded = [_load(entry) for entry in entries.values()]
    wrong = [item for item in (*loaded, *refused) if isinstance(item, Refused)]
    return [item for item in loaded if isinstance(item, Found)], [item.problem for item in wrong]


def find_doubles(name: str) -> tuple[Refused, ...]:
    """Return the translators that were refused because the *name* is taken."""
    return tuple(item for item in _find_entries()[1] if item.name == name)


def look_up(name: str, place: str = "") -> Found | Refused:
    """Return the translator called *name*, or why it is refused; raise HandgrooveError, at *place*, for none."""
    entries, _ = _find_entries()
    if name not in entries:
        hint = did_you_mean(name, list(entries)) or f"there are: {', '.join(entries)}"
        raise HandgrooveError(Problem(place, f"expected the name of a translator, got {name!r}", remedy=hint))
    return _load(entries[name])


def find_translator(name: str, place: str = "") -> Found:
    """Return the translator called *name*; raise HandgrooveError, at *place*, where there is none or it is wrong."""
    found = look_up(name, place)
    if isinstance(found, Refused):
        raise HandgrooveError(found.problem)
    return found


def make_found(found: Found, settings: Mapping[str, object], place: str = "") -> Any:
    """Make a translator with *settings*; raise HandgrooveError, at *place*, for wrong ones.

    Raise PluginError where somebody else's can't be made.
    """
    from pydantic import ValidationError

    try:
        made = read_settings(found, settings)
    except ValidationError as error:
        fields = list(found.maker.settings_model.model_fields)
        raise HandgrooveError(
            [_explain(place, found.name, item, fields) for item in error.errors()]
        ) from None
    return _run(found, found.maker, made)


def read_settings(found: Found, settings: Mapping[str, object]) -> Any:
    """Return *settings* as the translator's own model has them; raise pydantic's ValidationError for wrong ones.

    Raise PluginError where somebody else's model fails.
    """
    from pydantic import ValidationError

    try:
        return _run(found, found.maker.settings_model.model_validate, dict(settings))
    except PluginError as error:
        if isinstance(error.__cause__, ValidationError):
            raise error.__cause__ from None
        raise


def _run(found: Found, function: Callable[..., Any], *args: Any) -> Any:
    return function(*args) if found.is_own else Watch().run(MAKE_SEC, function, *args)


def _explain(place: str, name: str, item: Any, fields: list[str]) -> Problem:
    setting = ".".join(str(step) for step in item["loc"])
    if item["type"] == "extra_forbidden":
        hint = did_you_mean(setting, fields) or f"it has: {', '.join(fields) or 'no settings'}"
        return Problem(place, f"{name}: expected one of its settings, got {setting!r}", remedy=hint)
    return Problem(place, f"{name}: {setting}: {item['msg']}, got {item['input']!r}")
