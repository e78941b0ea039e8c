"""Reading pattern files that nobody meant to write."""

from __future__ import annotations

import time

from hypothesis import given, settings
from hypothesis import strategies as st

from handgroove.data import data_folder
from handgroove.errors import HandgrooveError, Problem
from handgroove.patterns import Pattern, check_pattern
from handgroove.yamlfile import parse_document

_GOOD = [path.read_text(encoding="utf-8") for path in sorted(data_folder("patterns").glob("*.yaml"))]
_JUNK = st.sampled_from(
    ["", ":", "-", "|", "%", "x", "{", "]", "'", "400", "null", "\n", "  ", "- a\n", "&a ", "*a", "é"]
)


def read(text: bytes) -> Pattern | tuple[Problem, ...]:
    """Return the pattern that *text* is, or its problems; anything else that is raised is a fault of ours."""
    started = time.process_time()
    try:
        outcome: Pattern | tuple[Problem, ...] = check_pattern(parse_document(text, "a.yaml"), "a")
    except HandgrooveError as error:
        outcome = error.problems
    assert time.process_time() - started < 1
    return outcome


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_pattern_with_anything_broken_is_read_or_refused(data: st.DataObject) -> None:
    """Library files with parts cut out and junk put in give a pattern or problems, within a second."""
    text = data.draw(st.sampled_from(_GOOD))
    for _ in range(data.draw(st.integers(1, 3))):
        start = data.draw(st.integers(0, len(text)))
        end = start + data.draw(st.integers(0, 12))
        text = text[:start] + data.draw(_JUNK) + text[end:]
    assert read(text.encode())


_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)
_KEYS = [
    *("title", "about", "as drums", "at the piano", "tempo", "metre", "feel"),
    *("steps per beat", "groove", "fills", "hands", "harmony"),
]


@settings(max_examples=150, deadline=None)
@given(st.dictionaries(st.sampled_from(_KEYS), _VALUES, max_size=6))
def test_any_value_under_any_key_is_read_or_refused(value: dict[str, object]) -> None:
    """A pattern's own keys with values of any shape give a pattern or problems."""
    import json

    assert read(json.dumps(value).encode())


def test_a_pattern_of_thousands_of_mistakes_is_refused_within_a_second() -> None:
    """The largest file of nothing but misspelt rows is answered quickly, with the first problems."""
    rows = "".join(f"  drum{i}: x\n" for i in range(2400))
    problems = read(f"title: T\ngroove:\n{rows}".encode())
    assert isinstance(problems, tuple)
    assert len(problems) == 21
