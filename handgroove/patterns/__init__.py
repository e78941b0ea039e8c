"""Patterns: YAML files that name a groove and say which translator takes which piece."""

from __future__ import annotations

from handgroove.patterns.pattern import Assignment, Fill, Pattern
from handgroove.patterns.pattern_files import (
    check_pattern,
    find_pattern,
    list_patterns,
    read_pattern,
    read_patterns,
)

__all__ = [
    "Assignment",
    "Fill",
    "Pattern",
    "check_pattern",
    "find_pattern",
    "list_patterns",
    "read_pattern",
    "read_patterns",
]
