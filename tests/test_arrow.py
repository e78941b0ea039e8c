"""The import arrow, drawn from the code: a module imports only what stands to its left in `ARROW`, or in its own place.

Imports inside functions and for types alone count, and so do the ``module:function`` words of the tables of writers and
readers. The package itself is left out: it is the door, with names that are fetched when they are used.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import handgroove

PACKAGE = Path(handgroove.__file__).parent

ARROW = (
    *("errors", "data", "clock", "collector", "frozen", "timeline", "metre", "yamlfile"),
    *(
        "groove.kit",
        "groove.hits",
        "groove.meant",
        "groove.read",
        "groove.know",
        "groove.suggest",
        "groove.tell",
    ),
    *("harmony.symbols", "harmony.chord", "harmony.charts", "harmony.chart", "harmony.find", "harmony.voice"),
    *("strike", "part", "host", "translators", "figures", "patterns", "sources", "hands", "desk", "job"),
    *("output", "picks", "audition", "band.read", "band.write", "band.tell"),
    *("live.core", "live.shell", "live.beside", "live.session"),
    *("commands", "cli", "__main__"),
)
"""The places from left to right; a folder is one place unless its own folders are told apart."""

_TABLE_WORD = re.compile(r"handgroove((?:\.\w+)+):\w+")


def place_of(module: str) -> str:
    """Return the place in the arrow of *module* (``live.core.engine`` stands in ``live.core``), or nothing."""
    return next((place for place in ARROW if f"{module}.".startswith(f"{place}.")), "")


def find_modules(package: Path) -> dict[str, Path]:
    """Return the file of every module of *package* by its dotted name in it, the package itself left out."""
    paths = {
        ".".join(path.relative_to(package).with_suffix("").parts): path for path in package.rglob("*.py")
    }
    named = {name.removesuffix("__init__").removesuffix("."): path for name, path in paths.items()}
    return {name: path for name, path in named.items() if name}


def find_imports(source: str, modules: dict[str, Path]) -> Iterator[tuple[int, str]]:
    """Yield the line and module of everything that *source* imports from handgroove, wherever in it that stands."""
    for node in ast.walk(ast.parse(source)):
        names = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            names = [word.expand(r"handgroove\1") for word in _TABLE_WORD.finditer(node.value)]
        for name in names:
            inside = name.removeprefix("handgroove.")
            if inside == name:
                continue
            module = inside if inside in modules else inside.rpartition(".")[0]
            if module:  # else a name of the package itself
                yield getattr(node, "lineno", 0), module


def find_backward(package: Path) -> list[str]:
    """Return a sentence for each import of *package* that runs back along the arrow, in order of files and lines."""
    modules = find_modules(package)
    found = []
    for module, path in sorted(modules.items()):
        for line, imported in sorted(find_imports(path.read_text(encoding="utf-8"), modules)):
            here, there = place_of(module), place_of(imported)
            if here and there and ARROW.index(there) > ARROW.index(here):
                found.append(f"{path.relative_to(package)}:{line}: {here} imports {imported}, to its right")
    return found


def test_no_import_runs_back() -> None:
    """Every import goes to the left or stays in its place."""
    assert find_backward(PACKAGE) == []


def test_every_module_stands_in_the_arrow() -> None:
    """A new file or folder is given its place; only a folder whose parts have places of their own has none."""
    lost = [module for module in find_modules(PACKAGE) if not place_of(module)]
    assert all(any(place.startswith(f"{module}.") for place in ARROW) for module in lost), lost
    assert all(any(place_of(module) == place for module in find_modules(PACKAGE)) for place in ARROW)


def test_imports_are_found_wherever_they_stand(tmp_path: Path) -> None:
    """A backward import at the top, in a function, for types alone and in a table is told with its place."""
    (tmp_path / "hands").mkdir()
    (tmp_path / "cli.py").write_text("from handgroove.hands.one import settle\n", encoding="utf-8")
    (tmp_path / "hands" / "one.py").write_text(
        "from typing import TYPE_CHECKING\n"
        "import handgroove.cli\n"
        "if TYPE_CHECKING:\n"
        "    from handgroove.output.midi import write_midi\n"
        "def settle():\n"
        "    from handgroove import cli\n"
        "ROW = ('midi', 'handgroove.output.midi:write_midi')\n",
        encoding="utf-8",
    )
    lines = [sentence.split(": ")[0] for sentence in find_backward(tmp_path)]
    assert lines == [f"{Path('hands', 'one.py')}:{line}" for line in (2, 4, 6, 7)]


def test_every_public_name_can_be_fetched() -> None:
    """Each name that the package offers is where its door says."""
    assert all(getattr(handgroove, name) for name in handgroove.__all__)
