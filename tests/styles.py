"""Patterns whose comping goes otherwise, for tests that are about something else, or about just that."""

from __future__ import annotations

from dataclasses import replace

from handgroove.patterns import Pattern, read_pattern


def with_style(pattern: Pattern, style: str, **settings: object) -> Pattern:
    """Return *pattern* with its comping in *style*, and with other *settings* of it."""
    changed = [
        replace(item, settings={**item.settings, "style": style, **settings})
        if item.use == "comping"
        else item
        for item in pattern.assignments
    ]
    return replace(pattern, assignments=tuple(changed))


def every_hat(name: str = "straight eighths") -> Pattern:
    """Return the pattern called *name* with each stroke answered by itself."""
    return with_style(read_pattern(name), "every hat")
