"""The libraries that only the score needs, fetched where they are used."""

from __future__ import annotations

from importlib import import_module
from typing import Any

from handgroove.errors import HandgrooveError, Problem


def need(module: str) -> Any:
    """Return the library *module*, or raise HandgrooveError that names what to install."""
    try:
        return import_module(module)
    except ImportError:
        raise HandgrooveError(
            Problem(
                "score",
                f"pages (PDF, SVG, PNG) need the library {module.partition('.')[0]!r}, which is not installed",
                remedy="in your copy of the repository: pip install '.[score]'",
            )
        ) from None
