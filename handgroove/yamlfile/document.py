"""A YAML document with the place of every word in it, and problems that point at their places.

Lines and columns are counted from 0 inside and from 1 in messages.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from handgroove.errors import HandgrooveError, Problem

EXCERPT_WIDTH = 96
MOST_PROBLEMS = 20

Loc = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """One value in the file: its *value*, where it begins, how it was written, and what it holds."""

    value: Any
    line: int
    column: int
    text: str
    key_line: int = -1
    key_column: int = -1
    exact: bool = False
    children: Mapping[str | int, Entry] = field(default_factory=dict)


@dataclass(frozen=True)
class Document:
    """A YAML file read whole: the *root* entry, the *lines* as written, and what *source* to call it."""

    source: str
    lines: tuple[str, ...]
    root: Entry
    repeated: tuple[Problem, ...] = ()

    @property
    def value(self) -> Any:
        """Return the file's data as plain dicts, lists and scalars."""
        return self.root.value

    def path(self, loc: Loc) -> Loc:
        """Return the steps of *loc* that the file has, as it writes them (a model's ``_`` may be a space)."""
        entry, steps = self.root, list[str | int]()
        for step in loc:
            for name in (step, step.replace("_", " ")) if isinstance(step, str) else (step,):
                if name in entry.children:
                    entry = entry.children[name]
                    steps.append(name)
                    break
        return tuple(steps)

    def entry(self, loc: Loc) -> Entry:
        """Return the deepest entry on the way to *loc*."""
        entry = self.root
        for step in self.path(loc):
            entry = entry.children[step]
        return entry

    def problem(
        self, loc: Loc, text: str, remedy: str = "", *, offset: int = 0, at_key: bool = False
    ) -> Problem:
        """Make a problem placed at *loc*, or *offset* characters into its text, or *at_key* on its key."""
        entry = self.entry(loc)
        line, column = entry.line, entry.column
        if at_key and entry.key_line >= 0:
            line, column = entry.key_line, entry.key_column
        elif entry.exact:
            column += offset
        return place_problem(self.source, self.lines, (line, column), text, remedy)

    def refuse(self, problems: Iterable[Problem]) -> None:
        """Raise HandgrooveError with *problems* and the file's own, in file order, if there are any."""
        found = sorted({*self.repeated, *problems}, key=_file_order)
        if found:
            raise HandgrooveError(shorten(found))


def _file_order(problem: Problem) -> tuple[int, int, str]:
    _, line, column = problem.place.rsplit(":", 2)
    return int(line), int(column), problem.text


def shorten(problems: list[Problem]) -> list[Problem]:
    """Return the first of many *problems* and a line that counts the rest."""
    if len(problems) <= MOST_PROBLEMS:
        return problems
    rest = len(problems) - MOST_PROBLEMS
    return [*problems[:MOST_PROBLEMS], Problem("", f"and {rest} more problems: mend these first")]


def place_problem(
    source: str, lines: tuple[str, ...], at: tuple[int, int], text: str, remedy: str = ""
) -> Problem:
    """Make a problem at a line and column (*at*, from 0) of *lines*, with an excerpt and a caret under it."""
    line, column = at
    excerpt = ""
    if line < len(lines) and lines[line].strip():
        shown = "".join(char if char.isprintable() else " " for char in lines[line])
        start = max(0, column - EXCERPT_WIDTH // 2) if len(shown) > EXCERPT_WIDTH else 0
        excerpt = f"    {shown[start : start + EXCERPT_WIDTH].rstrip()}\n    {' ' * (column - start)}^"
    return Problem(f"{source}:{line + 1}:{column + 1}", text, excerpt, remedy)
