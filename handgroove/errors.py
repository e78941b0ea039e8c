"""What went wrong, told to a musician: the place, what was expected, what was got, and the remedy.

A reader collects every problem it finds and raises them together, in file order.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong: *place* (``file:line:column`` or ``bar 3``), *text*, *excerpt* and *remedy*."""

    place: str
    text: str
    excerpt: str = ""
    remedy: str = ""

    def __str__(self) -> str:
        lines = [f"{self.place}: {self.text}" if self.place else self.text]
        if self.excerpt:
            lines.append(self.excerpt)
        if self.remedy:
            lines.append(f"    {self.remedy}")
        return "\n".join(lines)


class HandgrooveError(Exception):
    """The work could not be done; *problems* says why, and *exit_code* is what a command ends with."""

    exit_code = 1

    def __init__(self, problems: str | Problem | Iterable[Problem]) -> None:
        if isinstance(problems, str):
            problems = Problem("", problems)
        if isinstance(problems, Problem):
            problems = [problems]
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class WrongUseError(HandgrooveError):
    """The request itself makes no sense (an option that does not exist, say)."""

    exit_code = 2


def did_you_mean(got: str, known: Iterable[str]) -> str:
    """Return ``did you mean 'tempo'?`` for a near miss among *known*, or an empty string."""
    near = difflib.get_close_matches(got, list(known), n=1, cutoff=0.6)
    return f"did you mean {near[0]!r}?" if near else ""
